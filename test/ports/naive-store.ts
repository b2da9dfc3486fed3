import type { Reading, ReadingBucket, StoredReading } from '../../src/domain/reading.ts';
import type { AppendOutcome, SeriesExtent } from '../../src/ports/reading-store.ts';

/** The port's contract in its plainest form: one list, searched from end to end for every answer. */
export class NaiveStore {
  #all: StoredReading[] = [];
  #retired: StoredReading[] = [];

  append(readings: readonly Reading[]): AppendOutcome {
    let stored = 0;
    for (const { value, ...rest } of readings) {
      const sameTime = this.#all.filter((r) => r.probeId === rest.probeId && r.measuredAtMs === rest.measuredAtMs);
      if (sameTime.some((one) => one.value === value)) continue;
      const inMinute = this.#retired.filter((r) => r.probeId === rest.probeId && minuteOf(r) === minuteOf(rest));
      if (inMinute.some((one) => one.value <= value) && inMinute.some((one) => one.value >= value)) continue;
      this.#all.push({ ...rest, value: value === 0 ? 0 : value, ordinal: sameTime.length + 1 });
      stored += 1;
    }
    return { stored, duplicates: readings.length - stored, refused: [] };
  }

  retire(probeId: string, fromMs: number, toMs: number): number {
    const span = this.range(probeId, fromMs, toMs, Number.POSITIVE_INFINITY);
    this.#all = this.#all.filter((one) => !span.includes(one));
    this.#retired.push(...span);
    return span.length;
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
    const all = this.#parts(probeId);
    const times = all.map((one) => one.measuredAtMs);
    if (all.length === 0) return undefined;
    return { probeId, firstMs: Math.min(...times), lastMs: Math.max(...times), count: all.length };
  }

  buckets(probeId: string, fromMs: number, toMs: number, bucketMs: number): ReadingBucket[] {
    const buckets: ReadingBucket[] = [];
    for (let startMs = Math.floor(fromMs / bucketMs) * bucketMs; startMs < toMs; startMs += bucketMs) {
      const low = Math.max(fromMs, startMs);
      const endMs = Math.min(toMs, startMs + bucketMs);
      const values = this.#parts(probeId).flatMap((one) => {
        return one.measuredAtMs >= low && one.measuredAtMs < endMs ? one.value : [];
      });
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

  /** All readings; retired ones at the start of their minute. */
  #parts(probeId: string): { readonly measuredAtMs: number; readonly value: number }[] {
    const retired = this.#retired.filter((one) => one.probeId === probeId);
    return [...this.#of(probeId), ...retired.map((one) => ({ measuredAtMs: minuteOf(one), value: one.value }))];
  }

  #of(probeId: string): StoredReading[] {
    return this.#all
      .filter((one) => one.probeId === probeId)
      .sort((a, b) => a.measuredAtMs - b.measuredAtMs || a.ordinal - b.ordinal);
  }
}

const minuteOf = ({ measuredAtMs }: { readonly measuredAtMs: number }) =>
  Math.floor(measuredAtMs / 60_000) * 60_000 + 0;
