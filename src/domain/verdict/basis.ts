import type { Batch } from '../catalogue.ts';
import type { KegFacts } from '../keg-facts.ts';
import type { Ambient, KegInput } from '../keg-inputs.ts';
import type { SpokenUnits } from '../words.ts';

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
  readonly units: SpokenUnits;
}

/** The input if it can still be relied on: fresh or late, not stale. */
export function usable(input: KegInput | null): KegInput | null {
  return input === null || input.freshness === 'stale' ? null : input;
}
