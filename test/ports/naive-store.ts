import type { Reading, ReadingBucket, StoredReading } from '../../src/domain/reading.ts';
import type { AppendOutcome, SeriesExtent } from '../../src/ports/reading-store.ts';

/** The port's contract in its plainest form: one list, searched from end to end for every answer. */
export class NaiveStore {
  #all: StoredReading[] = [];

  append(readings: readonly Reading[]): AppendOutcome {
    let stored = 0;
    for (const { value, ...rest } of readings) {
      const sameTime = this.#all.filter((r) => r.probeId === rest.probeId && r.measuredAtMs === rest.measuredAtMs);
      if (sameTime.some((one) => one.value === value)) continue;
      this.#all.push({ ...rest, value: value === 0 ? 0 : value, ordinal: sameTime.length + 1 });
      stored += 1;
    }
    return { stored, duplicates: readings.length - stored, refused: [] };
  }

  range(probeId: string, fromMs: number, toMs: number, limit: number): StoredReading[] {
    return this.#of(probeId)
      .filter((one) => one.measuredAtMs >= fromMs && one.measuredAtMs < toMs)
      .slice(0, limit);
  }

  latest(probeId: string, count: number): StoredReading[] {
    const all = this.#of(probeId);
    return all.slice(Math.max(0, all.length - count));
  }

  extent(probeId: string): SeriesExtent | undefined {
    const all = this.#of(probeId);
    const times = all.map((one) => one.measuredAtMs);
    if (all.length === 0) return undefined;
    return { probeId, firstMs: Math.min(...times), lastMs: Math.max(...times), count: all.length };
  }

  buckets(probeId: string, fromMs: number, toMs: number, bucketMs: number): ReadingBucket[] {
    const buckets: ReadingBucket[] = [];
    for (let startMs = Math.floor(fromMs / bucketMs) * bucketMs; startMs < toMs; startMs += bucketMs) {
      const low = Math.max(fromMs, startMs);
      const values = this.range(probeId, low, Math.min(toMs, startMs + bucketMs), 9999).map((one) => one.value);
      if (values.length === 0) continue;
      const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
      // Adding 0 turns a start of −0 into 0.
      buckets.push({
        startMs: startMs + 0,
        min: Math.min(...values),
        mean,
        max: Math.max(...values),
        count: values.length,
      });
    }
    return buckets;
  }

  #of(probeId: string): StoredReading[] {
    return this.#all
      .filter((one) => one.probeId === probeId)
      .sort((a, b) => a.measuredAtMs - b.measuredAtMs || a.ordinal - b.ordinal);
  }
}
