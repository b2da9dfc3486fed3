import type { Reading } from './reading.ts';

/** A probe id longer than this is a mistake; the longest that MQTT topics of ours give is under 150. */
export const PROBE_ID_LENGTH_MAX = 256;

/**
 * Bounds of a time that every store can keep (epoch ms): 1678-01-01 and 2262-01-01 UTC. Time-series stores count
 * nanoseconds in 64 bits, which ends a little outside of these.
 */
export const STORABLE_MS_MIN = Date.UTC(1678, 0, 1);
export const STORABLE_MS_MAX = Date.UTC(2262, 0, 1);

const isStorableTime = (ms: number): boolean => Number.isInteger(ms) && ms >= STORABLE_MS_MIN && ms <= STORABLE_MS_MAX;

/** Why no store will ever take this reading, or null if every store will. */
export function whyNotStorable(reading: Reading): string | null {
  const { probeId, measuredAtMs, value, receivedAtMs } = reading;
  if (probeId === '') return 'the probe id is empty';
  if (probeId.length > PROBE_ID_LENGTH_MAX) return `the probe id is longer than ${PROBE_ID_LENGTH_MAX} characters`;
  if (!probeId.isWellFormed()) return 'the probe id is not valid Unicode';
  if (!Number.isFinite(value)) return `the value ${value} is not a finite number`;
  if (!isStorableTime(measuredAtMs)) return `the time ${measuredAtMs} is not a whole millisecond from 1678 to 2261`;
  if (!isStorableTime(receivedAtMs))
    return `the time of receipt ${receivedAtMs} is not a whole millisecond from 1678 to 2261`;
  return null;
}

/** The nearest bound of a range that can matter: nothing is stored outside. A bound may be any number. */
export const clampToStorable = (ms: number): number => Math.min(Math.max(ms, STORABLE_MS_MIN), STORABLE_MS_MAX + 1);

/** The value as every store gives it back: −0 becomes 0, because not every store can tell them apart. */
export const storedValue = (value: number): number => value + 0;

/** Start of the span of `bucketMs` that `timeMs` lies in: a multiple of `bucketMs`, before 1970 too. */
export const bucketStartMs = (timeMs: number, bucketMs: number): number => Math.floor(timeMs / bucketMs) * bucketMs + 0;

/** @throws RangeError when a length of buckets is not a whole positive number of milliseconds. */
export function assertBucketMs(bucketMs: number): void {
  if (!Number.isSafeInteger(bucketMs) || bucketMs <= 0) {
    throw new RangeError(`A bucket of ${bucketMs} ms is impossible; give a whole number of milliseconds above 0.`);
  }
}

const MINUTE_MS = 60_000;

/** @throws RangeError when a span that is to be kept as minutes does not consist of whole ones. */
export function assertWholeMinutes(fromMs: number, toMs: number): void {
  if (fromMs % MINUTE_MS !== 0 || toMs % MINUTE_MS !== 0 || !(fromMs < toMs)) {
    throw new RangeError(`From ${fromMs} to ${toMs} ms are no whole minutes; give multiples of ${MINUTE_MS}.`);
  }
}
