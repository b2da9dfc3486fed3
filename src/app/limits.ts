import { type Outcome, refuse } from './outcome.ts';

/**
 * How much of each there may be: far more than a large taproom has, and little enough that a device or a script that has
 * lost its mind fills neither the memory nor the disk.
 */
export const LIMITS = {
  kegs: 1000,
  places: 200,
  supplies: 200,
  /** Those that people set up. */
  probes: 5000,
  /** Entries of one keg, over all its batches. */
  entriesOfKeg: 20_000,
  /** Probes that are heard, each a series of readings. */
  series: 5000,
} as const;

/** A refusal if one more would be too many; null if there is room. */
export function full(what: keyof typeof LIMITS, there: number, words: string): Outcome<never> | null {
  const most = LIMITS[what];
  if (there < most) return null;
  return refuse('limit-reached', `There are ${most} ${words} already, and more are not kept. Remove some first.`);
}
