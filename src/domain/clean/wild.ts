import type { Point } from './points.ts';

/** Readings that a value is judged among, itself included: a jump is believed once a third reading confirms it. */
export const WINDOW_POINTS = 5;
/** Older readings say nothing of what is usual now (ms). */
export const WINDOW_MS = 6 * 3600_000;
/** Scaled to a standard deviation, this many are far. @source Hampel identifier; 1.4826 makes the median absolute deviation one */
const FAR_DEVIATIONS = 5 * 1.4826;

/**
 * Does a value fit the points around it, itself included, in order of time? It is compared with their median; far is
 * what lies beyond `usual` and beyond their own spread. A real jump is turned down at first and believed once it
 * persists.
 */
export function isBelievable(value: number, around: readonly Point[], usual: number): boolean {
  // Nearly always all lie close together; then there is nothing to weigh.
  if (around.every((point) => Math.abs(point.value - value) <= usual)) return true;
  // With two, the first has the say; alone, a value is all there is.
  const middle =
    around.length === 2 ? around.reduce((first) => first).value : median(around.map((point) => point.value));
  const spread = around.length < WINDOW_POINTS ? 0 : median(around.map((point) => Math.abs(point.value - middle)));
  return Math.abs(value - middle) <= Math.max(usual, FAR_DEVIATIONS * spread);
}

function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const upToRank = (rank: number) => Math.max(...sorted.slice(0, Math.floor(rank) + 1));
  return (upToRank((sorted.length - 1) / 2) + upToRank(sorted.length / 2)) / 2;
}
