import type { Expectation } from './expected.ts';

/** What there is to know before a check is advised. */
export interface AdviceBasis {
  readonly hasBatch: boolean;
  readonly co2RatioKnown: boolean;
  readonly pressureHeard: boolean;
  readonly temperatureHeard: boolean;
  /** Half width of the band now (volumes); null: not estimated yet. */
  readonly plusMinus: number | null;
  /** Probability that the beer is inside its window. */
  readonly insideProbability: number;
  readonly expected: readonly Expectation[];
  readonly running: boolean;
}

export type Advice =
  | {
      readonly kind:
        | 'no-batch'
        | 'no-batch-running'
        | 'gas-unknown'
        | 'no-pressure'
        | 'no-temperature'
        | 'not-yet'
        | 'surely-inside'
        | 'narrow'
        | 'gains-little'
        | 'enough';
    }
  /** Go on until so many hours in all. */
  | { readonly kind: 'go-on'; readonly hours: number; readonly plusMinus: number }
  | {
      readonly kind: 'check';
      readonly hours: number;
      readonly plusMinus: number;
      /** A longer one that tells clearly more, and a shaken one that tells about as much. */
      readonly longer: Expectation | null;
      readonly shaken: Expectation | null;
    };

/** About what temperature and pressure can ever tell without a zeroed probe (volumes). */
const NARROW_VOLUMES = 0.08;
/** The verdict passes from here on; no check could say more. */
const SURELY_INSIDE = 0.9;
/** A check that takes away less of the band than this is not worth making, nor one going on (share). Chosen, no source. */
const WORTH_SHARE = 0.2;
const GO_ON_SHARE = 0.12;
/** Of several lengths the shortest is advised that gains nearly as much as the best. */
const NEARLY = 0.7;

export function adviseCheck(basis: AdviceBasis): Advice {
  const { plusMinus, running, expected } = basis;
  if (!basis.pressureHeard) return { kind: 'no-pressure' };
  if (!basis.hasBatch) return { kind: running ? 'no-batch-running' : 'no-batch' };
  if (!basis.co2RatioKnown) return { kind: 'gas-unknown' };
  if (!basis.temperatureHeard) return { kind: 'no-temperature' };
  if (plusMinus === null) return { kind: 'not-yet' };
  if (running) return adviseRunning(plusMinus, expected);
  if (basis.insideProbability >= SURELY_INSIDE) return { kind: 'surely-inside' };
  if (plusMinus <= NARROW_VOLUMES) return { kind: 'narrow' };
  const lengths = expected.filter(({ shaken }) => !shaken);
  const gain = (one: Expectation) => plusMinus - one.plusMinus;
  const best = Math.max(0, ...lengths.map(gain));
  const chosen = lengths.find((one) => gain(one) >= NEARLY * best);
  if (chosen === undefined || gain(chosen) < WORTH_SHARE * plusMinus) return { kind: 'gains-little' };
  const longer = lengths.find((one) => one.hours > chosen.hours && gain(one) > 1.2 * gain(chosen)) ?? null;
  const shaken = expected.find((one) => one.shaken && gain(one) >= NEARLY * gain(chosen)) ?? null;
  return { kind: 'check', hours: chosen.hours, plusMinus: chosen.plusMinus, longer, shaken };
}

function adviseRunning(plusMinus: number, expected: readonly Expectation[]): Advice {
  const lengths = expected.filter(({ shaken }) => !shaken);
  const next = lengths.find((one) => plusMinus - one.plusMinus >= GO_ON_SHARE * plusMinus);
  if (next === undefined || plusMinus <= NARROW_VOLUMES) return { kind: 'enough' };
  return { kind: 'go-on', hours: next.hours, plusMinus: next.plusMinus };
}
