import type { Reading, ReadingBucket, StoredReading } from '../../domain/reading.ts';
import {
  assertBucketMs,
  assertWholeMinutes,
  bucketStartMs,
  storedValue,
  whyNotStorable,
} from '../../domain/storable-reading.ts';
import type { AppendOutcome, ReadingStore, RefusedReading, SeriesExtent } from '../../ports/reading-store.ts';

const MINUTE_MS = 60_000;

/**
 * A reading store that forgets everything when the process ends: for tests and replays. Closing keeps the readings, so
 * that opening again finds them, as with a real store.
 */
export class MemoryReadingStore implements ReadingStore {
  /** Per probe, in order of time and ordinal. */
  #series = new Map<string, StoredReading[]>();
  /** Per probe: what minutes say of readings that were retired, by their starts. */
  #minutes = new Map<string, Map<number, ReadingBucket>>();
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
    const minutes = [...this.#minutesOf(probeId).values()].filter(({ startMs }) => startMs >= fromMs && startMs < toMs);
    const parts = [...minutes, ...this.#between(probeId, fromMs, toMs).map(asBucket)];
    const spans = Map.groupBy(parts, (part) => bucketStartMs(part.startMs, bucketMs));
    return [...spans].map(([startMs, span]) => sumUp(startMs, span)).toSorted((a, b) => a.startMs - b.startMs);
  }

  async retire(probeId: string, fromMs: number, toMs: number): Promise<number> {
    this.#assertOpen();
    assertWholeMinutes(fromMs, toMs);
    const minutes = new Map(this.#minutesOf(probeId));
    const retired = this.#between(probeId, fromMs, toMs);
    for (const [startMs, span] of Map.groupBy(retired, (r) => bucketStartMs(r.measuredAtMs, MINUTE_MS))) {
      const known = minutes.get(startMs);
      minutes.set(startMs, sumUp(startMs, [...(known === undefined ? [] : [known]), ...span.map(asBucket)]));
    }
    this.#minutes.set(probeId, minutes);
    const rest = this.#of(probeId).filter(({ measuredAtMs }) => measuredAtMs < fromMs || measuredAtMs >= toMs);
    this.#series.set(probeId, rest);
    return retired.length;
  }

  async extents(): Promise<SeriesExtent[]> {
    this.#assertOpen();
    const extents: SeriesExtent[] = [];
    for (const probeId of new Set([...this.#series.keys(), ...this.#minutes.keys()])) {
      const parts = [...this.#minutesOf(probeId).values(), ...this.#of(probeId).map(asBucket)];
      const times = parts.map(({ startMs }) => startMs);
      const count = parts.reduce((sum, part) => sum + part.count, 0);
      if (count > 0) extents.push({ probeId, firstMs: least(times), lastMs: greatest(times), count });
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
    const minute = this.#minutesOf(reading.probeId).get(bucketStartMs(reading.measuredAtMs, MINUTE_MS));
    if (minute !== undefined && value >= minute.min && value <= minute.max) return false;
    const { probeId, measuredAtMs, receivedAtMs, timeFrom } = reading;
    series.splice(end, 0, { probeId, measuredAtMs, value, receivedAtMs, timeFrom, ordinal: sameTime.length + 1 });
    this.#series.set(probeId, series);
    return true;
  }

  #of(probeId: string): StoredReading[] {
    return this.#series.get(probeId) ?? [];
  }

  #minutesOf(probeId: string): ReadonlyMap<number, ReadingBucket> {
    return this.#minutes.get(probeId) ?? new Map();
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

function asBucket({ measuredAtMs, value }: StoredReading): ReadingBucket {
  return { startMs: measuredAtMs, min: value, mean: value, max: value, count: 1 };
}

function sumUp(startMs: number, span: readonly ReadingBucket[]): ReadingBucket {
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  let mean = 0;
  let count = 0;
  for (const part of span) {
    min = Math.min(min, part.min);
    max = Math.max(max, part.max);
    count += part.count;
    // A running mean; a sum could overflow.
    mean += (part.mean / count - mean / count) * part.count;
  }
  return { startMs, min, mean, max, count };
}

/** Of many; a call of `Math.min` with as many arguments would overflow the stack. */
function least(values: readonly number[]): number {
  return values.reduce((low, value) => Math.min(low, value), Number.POSITIVE_INFINITY);
}

function greatest(values: readonly number[]): number {
  return values.reduce((high, value) => Math.max(high, value), Number.NEGATIVE_INFINITY);
}
