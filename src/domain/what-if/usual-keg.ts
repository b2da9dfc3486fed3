import type { Filling } from '../estimate/types.ts';
import type { EstimateModel, RunningEstimate } from '../keg-track-types.ts';

/** A full keg of the usual size and shape (L; m). Common practice, no source. */
const USUAL: Omit<Filling, 'atMs' | 'beerC'> = {
  totalL: 19.5,
  beerL: 18.5,
  diameterM: 0.215,
  fermentedC: null,
  beerState: 'flat',
  thermometer: 'thermowell',
  onGasSinceMs: null,
};
/** Purged often enough that no air is left to speak of. */
const PURGES = 5;
const SEED = 1;

/** An estimate of a keg that nobody has: filled with flat beer now, purged, and on gas. */
export function usualKeg(
  model: EstimateModel,
  atMs: number,
  beerC: number,
  ambientKpaAbsolute: number,
): RunningEstimate {
  const estimate = model.begin(
    { ...USUAL, atMs, beerC },
    { kpaAbsolute: ambientKpaAbsolute, fromBarometer: false },
    { seed: SEED },
  );
  estimate.advance({
    fromMs: atMs,
    toMs: atMs,
    beerC,
    headspaceKpaGauge: null,
    ambientKpaAbsolute,
    ambientFromBarometer: false,
    co2Ratio: 1,
    events: [
      { kind: 'purged', atMs, times: PURGES, kpaGauge: null },
      { kind: 'gas-opened', atMs },
    ],
  });
  return estimate;
}
