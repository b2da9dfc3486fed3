import type { Batch } from '../catalogue.ts';
import type { HoursAhead } from '../estimate/types.ts';
import type { GapMark } from '../gap.ts';
import type { KegFacts } from '../keg-facts.ts';
import type { Ambient, KegInput } from '../keg-inputs.ts';
import type { SpokenUnits } from '../words.ts';
import type { CheckName } from './check.ts';
import type { VerdictLimits } from './limits.ts';

/** What is known of the CO2 in the beer and its way to the window (volumes). */
export interface DissolvedOutlook {
  readonly volumes: number;
  readonly low: number;
  readonly high: number;
  /** Probability that it lies inside the window, and that it lies past it. */
  readonly insideProbability: number;
  readonly aboveProbability: number;
  /** Until waiting alone brings it into the window; null if it is inside, or never within a week. */
  readonly readyIn: HoursAhead | null;
  /** Until the risk that it is past the window's top reaches 5 %; 0: it does now; null: not within a week. */
  readonly passesTopInHours: number | null;
  /** What contradicts the entries about the gas. */
  readonly disagreement: 'closed-but-holds' | 'open-but-no-gas' | null;
}

/** How far pressure (kPa) and temperature (°C) moved within the last half hour. */
export interface Steadiness {
  readonly kpa: number;
  readonly celsius: number;
  /** Steps of five minutes in which pressure or temperature was not heard. */
  readonly missedSteps: number;
}

/** Everything a verdict rests on. */
export interface VerdictBasis {
  readonly kegId: string;
  readonly batch: Batch | null;
  readonly facts: KegFacts;
  readonly beerTemperature: KegInput | null;
  readonly headspacePressure: KegInput | null;
  readonly ambient: Ambient;
  readonly co2Ratio: number | null;
  readonly equilibriumVolumes: number | null;
  /** Null or left out: not estimated. */
  readonly dissolved?: DissolvedOutlook | null;
  readonly units: SpokenUnits;
  /** Everything that is measured of the keg, its place and its gas. */
  readonly inputs: readonly KegInput[];
  /** Until the beer is cold; null: it is, or nobody knows. */
  readonly coldIn: HoursAhead | null;
  /** Null: not known, because too little was heard. */
  readonly steadiness: Steadiness | null;
  /** Times within the last half hour in which we could not hear, in order. */
  readonly holes: readonly GapMark[];
  readonly gasCheckRuns: boolean;
  readonly limits: VerdictLimits;
  /** Checks that passed when last judged: they pass a little beyond their limits too, so that none flickers. */
  readonly passed: ReadonlySet<CheckName>;
  /** The fill that is planned next; null or left out: none. */
  readonly planned?: PlannedFill | null;
  readonly nowMs: number;
}

/** What a verdict must know of a planned fill. */
export interface PlannedFill {
  readonly endsAtMs: number;
  /** When the plan turns the pressure down; null: it does not. */
  readonly turnsDownAtMs: number | null;
}

/** The input if it can still be relied on: fresh or late, not stale. */
export function usable(input: KegInput | null): KegInput | null {
  return input === null || input.freshness === 'stale' ? null : input;
}
