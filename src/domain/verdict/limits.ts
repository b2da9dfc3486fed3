/** Limits of a verdict. Each may be set for a batch. Defaults are common practice for filling from the keg, no source. */
export interface VerdictLimits {
  /** How far above the wished temperature a probe may read and the beer still count as cold (°C): the probe's own error. */
  readonly coldMarginC: number;
  /** Pressures at which beer fills bottles gently (kPa gauge). */
  readonly servingKpaLow: number;
  readonly servingKpaHigh: number;
  /** Greatest change of pressure (kPa) and temperature (°C) within half an hour. */
  readonly steadyKpa: number;
  readonly steadyC: number;
  /** Hours of rest after the keg was filled, moved, shaken or vented. */
  readonly restHours: number;
  /** Hours ahead in which the beer must not pass its window: longer than any filling takes. */
  readonly aheadHours: number;
  /** Pressure for purging bottles (kPa gauge). */
  readonly purgeKpaLow: number;
  readonly purgeKpaHigh: number;
  /** The warmest that bottles should be (°C). */
  readonly bottlesC: number;
  /** Beer (L) and CO2 (kg) below which somebody should know. */
  readonly beerLitres: number;
  readonly gasKg: number;
}

/** Those that were set, and the usual ones. */
export function limitsWith(set: Partial<VerdictLimits>): VerdictLimits {
  return { ...DEFAULT_LIMITS, ...set };
}

export const DEFAULT_LIMITS: VerdictLimits = {
  coldMarginC: 0.2,
  // 8 to 12 psi.
  servingKpaLow: 55,
  servingKpaHigh: 83,
  steadyKpa: 5,
  steadyC: 1,
  restHours: 12,
  aheadHours: 12,
  // About 15 psi.
  purgeKpaLow: 90,
  purgeKpaHigh: 117,
  bottlesC: 4,
  beerLitres: 1,
  gasKg: 0.3,
};
