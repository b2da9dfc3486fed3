import type { Point } from '../domain/clean/points.ts';
import {
  readFromMs,
  readToMs,
  type SuspectSpan,
  suspectSpans,
  type Weeded,
  weeded,
} from '../domain/doubted-buckets.ts';
import type { Quantity } from '../domain/quantity.ts';
import type { ReadingBucket } from '../domain/reading.ts';
import type { ReadingStore } from '../ports/reading-store.ts';

/** Spans looked at reading by reading for one series of a curve, and readings read for it; the newest first. */
const SPANS_MAX = 40;
const READINGS_MAX = 20_000;

export interface AskedBuckets extends SuspectSpan {
  readonly probeId: string;
  readonly quantity: Quantity;
  readonly bucketMs: number;
}

/**
 * Takes out of buckets what cannot be true, as far as its readings are still there and within bounds; beyond those the
 * buckets stay as they are. Rejects if the store does.
 */
export async function withoutDoubted(
  store: ReadingStore,
  asked: AskedBuckets,
  buckets: readonly ReadingBucket[],
): Promise<Weeded> {
  const { probeId, quantity, bucketMs } = asked;
  const spans = suspectSpans(quantity, buckets, bucketMs).slice(-SPANS_MAX);
  let rest: readonly ReadingBucket[] = buckets;
  const clean: ReadingBucket[] = [];
  const doubted: Point[] = [];
  let left = READINGS_MAX;
  for (const span of spans.toReversed()) {
    const limit = left + 1;
    const readings = await store.range(probeId, readFromMs(span), readToMs(span), limit);
    if (readings.length > left) break;
    left -= readings.length;
    const points = readings.map(({ measuredAtMs, value }) => ({ atMs: measuredAtMs, value }));
    const within = rest.filter(({ startMs }) => startMs >= span.fromMs && startMs < span.toMs);
    const result = weeded(quantity, within, points, bucketMs, asked);
    clean.unshift(...result.buckets, ...rest.filter(({ startMs }) => startMs >= span.toMs));
    rest = rest.filter(({ startMs }) => startMs < span.fromMs);
    doubted.unshift(...result.doubted);
  }
  return { buckets: [...rest, ...clean], doubted };
}
