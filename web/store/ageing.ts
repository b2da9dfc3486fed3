import type { Input } from '../../src/contract/state.ts';

export interface Aged {
  readonly atMs: number;
  readonly ageMs: number;
  readonly state: Input['state'];
}

/** How old a value is by now: the page tells by itself, so that a silent service cannot keep a value young. */
export type Ages = Pick<Input, 'at' | 'freshForMs' | 'lateForMs' | 'amiss'>;

export function aged(input: Ages, serviceNowMs: number): Aged {
  const atMs = Date.parse(input.at);
  const ageMs = Math.max(0, serviceNowMs - atMs);
  const state = ageMs <= input.freshForMs ? 'fresh' : ageMs <= input.lateForMs ? 'late' : 'stale';
  return { atMs, ageMs, state: (input.amiss ?? null) === null ? state : 'stale' };
}

/** The input of a quantity that was heard last; null if the keg has none. */
export function inputOf(inputs: readonly Input[], quantity: Input['quantity']): Input | null {
  const found = inputs.filter((input) => input.quantity === quantity);
  return found.reduce<Input | null>((best, input) => (best === null || input.at > best.at ? input : best), null);
}

/** The oldest of the inputs of these quantities; null if there are none. */
export function oldestOf(inputs: readonly Input[], quantities: readonly Input['quantity'][]): Input | null {
  return quantities.reduce<Input | null>((oldest, quantity) => {
    const input = inputOf(inputs, quantity);
    if (input === null) return oldest;
    return oldest === null || input.at < oldest.at ? input : oldest;
  }, null);
}
