/** What the estimate of dissolved CO2 takes and gives. Times are epoch ms, contents chart volumes. */

/** What is known of a filling. Null where nobody said. */
export interface Filling {
  readonly atMs: number;
  /** Brim-full volume of the keg and beer in it (L). */
  readonly totalL: number;
  readonly beerL: number;
  readonly diameterM: number | null;
  readonly beerC: number | null;
  readonly fermentedC: number | null;
  readonly beerState: 'flat' | 'carbonated' | 'priming' | 'unknown';
  /** Where the thermometer sits. */
  readonly thermometer: 'thermowell' | 'wall' | 'air';
  /** On gas since this time, which may lie before `atMs`; null if not said. */
  readonly onGasSinceMs: number | null;
}

/** Something that happened within a step, in order of time. */
export type StepEvent =
  | { readonly kind: 'gas-opened'; readonly atMs: number }
  | { readonly kind: 'gas-closed'; readonly atMs: number }
  /** The gas is closed to see; `shaken`: the keg is shaken while it is. */
  | { readonly kind: 'gas-check-started'; readonly atMs: number; readonly shaken: boolean }
  | { readonly kind: 'gas-check-ended'; readonly atMs: number }
  | { readonly kind: 'purged'; readonly atMs: number; readonly times: number; readonly kpaGauge: number | null }
  | { readonly kind: 'vented'; readonly atMs: number }
  | { readonly kind: 'moved'; readonly atMs: number }
  | { readonly kind: 'shaken'; readonly atMs: number; readonly seconds: number }
  | { readonly kind: 'drawn'; readonly atMs: number; readonly litres: number }
  | { readonly kind: 'stone-started'; readonly atMs: number }
  | { readonly kind: 'probe-zeroed'; readonly atMs: number }
  | { readonly kind: 'weighed'; readonly atMs: number; readonly kg: number; readonly plusMinusKg: number }
  | { readonly kind: 'sample-measured'; readonly atMs: number; readonly volumes: number; readonly plusMinus: number }
  | { readonly kind: 'regulator-set'; readonly atMs: number; readonly kpaGauge: number };

/** One step of the estimate: what was heard and done between two times. Steps are 5 min on whole multiples of 5 min. */
export interface EstimateStep {
  readonly fromMs: number;
  readonly toMs: number;
  /** Cleaned means over the step; null where nothing usable was heard. */
  readonly beerC: number | null;
  readonly headspaceKpaGauge: number | null;
  readonly ambientKpaAbsolute: number;
  readonly ambientFromBarometer: boolean;
  /** Share of CO2 in the gas. */
  readonly co2Ratio: number;
  readonly events: readonly StepEvent[];
}

export interface DissolvedEstimate {
  readonly atMs: number;
  /** 5 %, 50 % and 95 % of what the beer holds now (chart volumes). */
  readonly low: number;
  readonly volumes: number;
  readonly high: number;
  /** What it would hold in the end at the present temperature and pressure, by the estimate's own reckoning. */
  readonly equilibriumVolumes: number | null;
  readonly gas: 'on' | 'closed' | 'unknown';
  /** What contradicts the entries, for the brewer; null if nothing does. */
  readonly disagreement: 'closed-but-holds' | 'open-but-no-gas' | null;
  readonly leak: 'none' | 'suspected' | 'likely';
  readonly leakProbability: number;
  /** Air left in the headspace, median (kPa). */
  readonly airKpa: number;
  /** Zero error of the pressure probe, median and half width of its 90 % interval (kPa). */
  readonly probeZeroKpa: number;
  readonly probeZeroPlusMinusKpa: number;
}

/** A range of hours from now; null bounds: beyond the horizon. */
export interface HoursAhead {
  readonly hours: number;
  readonly lowHours: number;
  readonly highHours: number;
}
