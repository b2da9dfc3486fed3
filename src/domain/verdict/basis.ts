import type { Batch } from '../catalogue.ts';
import type { HoursAhead } from '../estimate/types.ts';
import type { KegFacts } from '../keg-facts.ts';
import type { Ambient, KegInput } from '../keg-inputs.ts';
import type { SpokenUnits } from '../words.ts';

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
}

/** The input if it can still be relied on: fresh or late, not stale. */
export function usable(input: KegInput | null): KegInput | null {
  return input === null || input.freshness === 'stale' ? null : input;
}
