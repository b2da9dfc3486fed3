/** Weighted quantiles of many values without sorting: by a fine histogram, straight lines within its bins. */
import { at } from './cloud.ts';

const BINS = 400;

/** `weights` need not add up to one. Quantiles in the order of `shares`. NaN-free as long as the values are. */
export function weightedQuantiles(values: Float64Array, weights: Float64Array, shares: readonly number[]): number[] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let index = 0; index < values.length; index += 1) {
    const value = at(values, index);
    if (value < low) low = value;
    if (value > high) high = value;
  }
  if (!(high > low)) return shares.map(() => low);
  const bins = new Float64Array(BINS);
  const scale = (BINS * (1 - 1e-12)) / (high - low);
  let total = 0;
  for (let index = 0; index < values.length; index += 1) {
    const bin = Math.floor((at(values, index) - low) * scale);
    const weight = at(weights, index);
    bins[bin] = at(bins, bin) + weight;
    total += weight;
  }
  return shares.map((share) => low + placeOf(bins, share * total) / scale);
}

/** Where the running sum of the bins reaches a mass, in bins. */
function placeOf(bins: Float64Array, mass: number): number {
  let sum = 0;
  for (let bin = 0; bin < BINS; bin += 1) {
    const here = at(bins, bin);
    if (sum + here >= mass && here > 0) return bin + Math.max(0, mass - sum) / here;
    sum += here;
  }
  return BINS;
}
