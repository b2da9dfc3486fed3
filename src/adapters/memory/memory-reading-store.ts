import type { Reading, ReadingBucket, StoredReading } from '../../domain/reading.ts';
import { assertBucketMs, bucketStartMs, storedValue, whyNotStorable } from '../../domain/storable-reading.ts';
import type { AppendOutcome, ReadingStore, RefusedReading, SeriesExtent } from '../../ports/reading-store.ts';

/**
 * A reading store that forgets everything when the process ends: for tests and replays. Closing keeps the readings, so
 * that opening again finds them, as with a real store.
 */
export class MemoryReadingStore implements ReadingStore {
  /** Per probe, in order of time and ordinal. */
  #series = new Map<string, StoredReading[]>();
  #isOpen = false;

  async open(): Promise<void> {
    this.#isOpen = true;
  }

  async append(readings: readonly Reading[]): Promise<AppendOutcome> {
    this.#assertOpen();
    let stored = 0;
    let duplicates = 0;
    const refused: RefusedReading[] = [];
    for (const reading of readings) {
      const reason = whyNotStorable(reading);
      if (reason !== null) refused.push({ reading, reason });
      else if (this.#insert(reading)) stored += 1;
      else duplicates += 1;
    }
    return { stored, duplicates, refused };
  }

  async latest(probeId: string, count: number): Promise<StoredReading[]> {
    this.#assertOpen();
    return count > 0 ? this.#of(probeId).slice(-count) : [];
  }

  async range(probeId: string, fromMs: number, toMs: number, limit: number): Promise<StoredReading[]> {
    this.#assertOpen();
    return this.#between(probeId, fromMs, toMs).slice(0, Math.max(0, limit));
  }

  async buckets(probeId: string, fromMs: number, toMs: number, bucketMs: number): Promise<ReadingBucket[]> {
    this.#assertOpen();
    assertBucketMs(bucketMs);
    const spans = Map.groupBy(this.#between(probeId, fromMs, toMs), (r) => bucketStartMs(r.measuredAtMs, bucketMs));
    return [...spans].map(([startMs, span]) => sumUp(startMs, span));
  }

  async extents(): Promise<SeriesExtent[]> {
    this.#assertOpen();
    const extents: SeriesExtent[] = [];
    for (const [probeId, series] of this.#series) {
      const first = series[0];
      const last = series.at(-1);
      if (first && last) {
        extents.push({ probeId, firstMs: first.measuredAtMs, lastMs: last.measuredAtMs, count: series.length });
      }
    }
    return extents;
  }

  async check(): Promise<void> {
    this.#assertOpen();
  }

  async close(): Promise<void> {
    this.#isOpen = false;
  }

  #insert(reading: Reading): boolean {
    const series = this.#of(reading.probeId);
    const value = storedValue(reading.value);
    const end = firstIndexFrom(series, reading.measuredAtMs + 1);
    const start = firstIndexFrom(series, reading.measuredAtMs);
    const sameTime = series.slice(start, end);
    if (sameTime.some((other) => other.value === value)) return false;
    const { probeId, measuredAtMs, receivedAtMs, timeFrom } = reading;
    series.splice(end, 0, { probeId, measuredAtMs, value, receivedAtMs, timeFrom, ordinal: sameTime.length + 1 });
    this.#series.set(probeId, series);
    return true;
  }

  #of(probeId: string): StoredReading[] {
    return this.#series.get(probeId) ?? [];
  }

  #between(probeId: string, fromMs: number, toMs: number): StoredReading[] {
    const series = this.#of(probeId);
    return series.slice(firstIndexFrom(series, fromMs), firstIndexFrom(series, toMs));
  }

  #assertOpen(): void {
    if (!this.#isOpen) throw new Error('The reading store in memory is not open; call open() first.');
  }
}

/** Index of the first reading at or after `timeMs`. */
function firstIndexFrom(series: readonly StoredReading[], timeMs: number): number {
  let low = 0;
  let high = series.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    const reading = series[middle];
    if (reading && reading.measuredAtMs < timeMs) low = middle + 1;
    else high = middle;
  }
  return low;
}

function sumUp(startMs: number, span: readonly StoredReading[]): ReadingBucket {
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  let mean = 0;
  let count = 0;
  for (const { value } of span) {
    min = Math.min(min, value);
    max = Math.max(max, value);
    count += 1;
    // A running mean; a sum could overflow.
    mean += value / count - mean / count;
  }
  return { startMs, min, mean, max, count };
}
