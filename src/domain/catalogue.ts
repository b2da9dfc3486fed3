import type { VerdictLimits } from './verdict/limits.ts';

/** What is kept of the installation, its places, gas supplies, kegs and batches. */

export interface Site {
  readonly altitudeM: number;
  /** False until somebody set the altitude: then 0 m is an assumption that must be shown as one. */
  readonly altitudeIsSet: boolean;
  readonly timeZone: string;
  readonly line: { readonly boreMm: number; readonly lengthM: number; readonly liftM: number } | null;
  readonly units: {
    readonly temperature: 'Cel' | '[degF]';
    readonly pressure: 'bar' | '[psi]' | 'kPa';
    readonly carbonation: 'volumes' | 'g/L';
    readonly volume: 'L' | '[gal_us]';
  };
}

export interface Place {
  readonly placeId: string;
  readonly name: string;
}

export interface Supply {
  readonly supplyId: string;
  readonly name: string;
  /** Share of CO2 in the gas; null: mixed gas of unknown share, so carbonation cannot be known. */
  readonly co2Ratio: number | null;
  readonly cylinderKg: number | null;
}

export interface Keg {
  readonly kegId: string;
  readonly name: string;
  readonly capacityL: number;
  readonly diameterMetres: number | null;
  readonly workingKpaGaugeMax: number | null;
  readonly placeId: string;
  readonly supplyId: string;
  /** What batches taught of it that ended before this moment is forgotten (epoch ms); null: nothing is. */
  readonly learnsFromMs: number | null;
}

/** The beer of a brew in one keg, from filling it until it is empty. */
export interface Batch {
  readonly batchId: string;
  readonly kegId: string;
  readonly brewId: string | null;
  readonly name: string;
  readonly style: string | null;
  readonly abvPercent: number | null;
  readonly originalExtractPlato: number | null;
  readonly beganAtMs: number;
  readonly endedAtMs: number | null;
  /** Limits of its verdict that were set; the others are the usual ones. */
  readonly limits: Partial<VerdictLimits>;
}

/** The place and the gas supply that exist from the start; new kegs are in and on them. */
export const FIRST_PLACE_ID = 'fridge';
export const FIRST_SUPPLY_ID = 'gas';

export const FIRST_PLACE: Place = { placeId: FIRST_PLACE_ID, name: 'Fridge' };
export const FIRST_SUPPLY: Supply = { supplyId: FIRST_SUPPLY_ID, name: 'Gas', co2Ratio: 1, cylinderKg: null };

/** Nominal size of a keg of which nothing is known (L). Common practice, no source: the usual home keg holds about 19 L. */
const USUAL_KEG_L = 19;

/** A keg as it enters the catalogue when nothing was said of it. */
export function newKeg(kegId: string): Keg {
  return {
    kegId,
    name: kegId,
    capacityL: USUAL_KEG_L,
    diameterMetres: null,
    workingKpaGaugeMax: null,
    placeId: FIRST_PLACE_ID,
    supplyId: FIRST_SUPPLY_ID,
    learnsFromMs: null,
  };
}
