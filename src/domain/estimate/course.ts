/** What an estimate remembers beside its particles: plain values, so that it can be kept and taken up again. */
import type { DissolvedEstimate, Filling } from './types.ts';

export type Gas = 'on' | 'closed' | 'unknown';

export interface Course {
  readonly filling: Filling;
  readonly totalM3: number;
  atMs: number;
  gas: Gas;
  /** What the gas was before a check, to go back to it. */
  gasBefore: Gas;
  closedS: number;
  /** The beer's temperature (degC) when the headspace was last taken as measured. */
  closedC: number;
  /** Closed, but the pressure has yet to be taken as the headspace's: after a vent, a draw, a purge. */
  unanchored: boolean;
  /** Last known beer temperature (degC) and pressure (Pa gauge), and for how long (h) neither was heard; -1: never. */
  beerC: number;
  beerKnown: boolean;
  beerSilentH: number;
  gaugePa: number;
  gaugeKnown: boolean;
  gaugeSilentH: number;
  ambientPa: number;
  fromBarometer: boolean;
  co2Ratio: number;
  heatKPerHour: number;
  /** The pressure of the supply as the probe saw it (Pa gauge): a mean over a quarter of an hour. */
  supplyPa: number;
  supplyKnown: boolean;
  /** Change of pressure over the last step (Pa); a jump that waits for the next step to be told from a leak. */
  lastMovePa: number;
  jumpPa: number;
  /** Pressure before the keg was vented (Pa absolute) until it is known after it; 0: not vented. */
  ventedPa: number;
  settingPa: number | null;
  belowSettingS: number;
  shakeLeftS: number;
  restS: number;
  stoneLeftS: number;
  shakenCheck: boolean;
  /** A shaken check has begun, and its shaking was not entered yet. */
  shakeOwed: boolean;
  purged: boolean;
  /** Gas was on for this long before the estimate begins (h). */
  owedHours: number;
  drawnL: number;
  weighing: { readonly kg: number; readonly plusMinusKg: number; readonly drawnL: number } | null;
  /** A sample or the scales have spoken, so that the probes' errors are no longer unseen. */
  observed: boolean;
  zeroSpreadPa: number;
  leak: DissolvedEstimate['leak'];
  leakProbability: number;
  driftS: number;
}
