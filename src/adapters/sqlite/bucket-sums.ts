import type { ReadingBucket } from '../../domain/reading.ts';
import { bucketStartMs } from '../../domain/storable-reading.ts';

/** Start (ms), least, greatest, total and number. */
export type SumsRow = readonly [startMs: number, low: number, high: number, total: number, number: number];

interface Sums {
  readonly startMs: number;
  low: number;
  high: number;
  total: number;
  number: number;
}

/** Puts sums together to buckets of a length. Rows that come in order of time cost next to nothing. */
export class BucketSums {
  readonly #bucketMs: number;
  readonly #byStart = new Map<number, Sums>();
  #last: Sums | null = null;

  constructor(bucketMs: number) {
    this.#bucketMs = bucketMs;
  }

  add([timeMs, low, high, total, number]: SumsRow): void {
    const sums = this.#at(timeMs);
    if (low < sums.low) sums.low = low;
    if (high > sums.high) sums.high = high;
    sums.total += total;
    sums.number += number;
  }

  /** In order of time. */
  buckets(): ReadingBucket[] {
    return [...this.#byStart.values()]
      .toSorted((a, b) => a.startMs - b.startMs)
      .map(({ startMs, low, high, total, number }) => {
        return { startMs, min: low, mean: total / number, max: high, count: number };
      });
  }

  #at(timeMs: number): Sums {
    const last = this.#last;
    if (last !== null && timeMs >= last.startMs && timeMs < last.startMs + this.#bucketMs) return last;
    const startMs = bucketStartMs(timeMs, this.#bucketMs);
    const sums = this.#byStart.get(startMs) ?? {
      startMs,
      low: Number.POSITIVE_INFINITY,
      high: Number.NEGATIVE_INFINITY,
      total: 0,
      number: 0,
    };
    this.#byStart.set(startMs, sums);
    this.#last = sums;
    return sums;
  }
}
