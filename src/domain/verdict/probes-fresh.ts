import type { Amiss, KegInput } from '../keg-inputs.ts';
import { defaultTopic } from '../topic.ts';
import { ageWords } from '../words.ts';
import type { VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';

const SPOKEN = { 'beer-temperature': 'beer thermometer', 'headspace-pressure': 'pressure probe' } as const;

/** Has everything the verdict rests on been heard lately? */
export function probesFreshCheck(basis: VerdictBasis): Check {
  const needed = [
    { quantity: 'beer-temperature', input: basis.beerTemperature },
    { quantity: 'headspace-pressure', input: basis.headspacePressure },
  ] as const;
  const silent = needed.find(({ input }) => input === null || input.freshness === 'stale');
  const common = {
    name: 'probes-fresh',
    measured: heardWords(needed.map(({ input }) => input)),
    wanted: 'heard lately',
    wantedLow: null,
    wantedHigh: null,
    unit: null,
  } as const;
  if (silent === undefined) return { ...common, state: 'pass', advice: '' };
  if (silent.input === null) {
    const topic = defaultTopic({ kind: 'keg', id: basis.kegId }, silent.quantity);
    return {
      ...common,
      state: 'unknown',
      advice: `Nothing heard of the ${SPOKEN[silent.quantity]} yet: it publishes to ${topic}.`,
    };
  }
  if (silent.input.amiss !== null) {
    return {
      ...common,
      state: 'unknown',
      advice: amissAdvice(SPOKEN[silent.quantity], silent.input.amiss, basis.nowMs),
    };
  }
  return {
    ...common,
    state: 'unknown',
    advice: `Look at the ${SPOKEN[silent.quantity]}: silent for ${ageWords(silent.input.ageMs)}. Has it power and network?`,
  };
}

function amissAdvice(spoken: string, { kind, sinceMs }: Amiss, nowMs: number): string {
  const lasted = sinceMs === null ? '' : ` for ${ageWords(nowMs - sinceMs)}`;
  return kind === 'offline'
    ? `Look at the ${spoken}: ${lasted === '' ? 'it says' : `it has said${lasted}`} that it is offline. Has it power and network?`
    : `Look at the ${spoken}: it has given the very same value${lasted}.`;
}

function heardWords(inputs: readonly (KegInput | null)[]): string {
  const lately = inputs.filter((input) => input !== null && input.freshness !== 'stale').length;
  return lately === inputs.length ? `all ${lately}` : `${lately} of ${inputs.length}`;
}
