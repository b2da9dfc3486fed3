import { atOnce, toldApart } from './clean/doubt.ts';
import type { Point } from './clean/points.ts';
import type { Quantity } from './quantity.ts';
import type { ReadingBucket } from './reading.ts';
import { bucketStartMs } from './storable-reading.ts';

/**
 * Readings this long before and after are weighed too (ms): what was believed before, and whether a jump was confirmed
 * after. After an hour hardly any change is too fast.
 */
const AROUND_MS = 3_600_000;
/** Buckets after a jump that may hold what agrees with it and is not confirmed: two that agree are not, three are. */
const AFTER = 1;

/** Buckets that may hold a doubted reading: fromMs <= startMs < toMs. */
export interface SuspectSpan {
  readonly fromMs: number;
  readonly toMs: number;
}

export const readFromMs = ({ fromMs }: SuspectSpan): number => fromMs - AROUND_MS;
export const readToMs = ({ toMs }: SuspectSpan): number => toMs + AROUND_MS;

/**
 * Where buckets (oldest first, not calibrated) differ by more than a moment can bring, within or from one to the next.
 * Elsewhere no reading can be doubted, so theirs need not be read. Spans of which the readings overlap become one.
 */
export function suspectSpans(
  quantity: Quantity,
  buckets: readonly ReadingBucket[],
  bucketMs: number,
): readonly SuspectSpan[] {
  const reach = atOnce(quantity);
  if (reach === null) return [];
  const spans: SuspectSpan[] = [];
  for (const [index, bucket] of buckets.entries()) {
    const before = buckets[index - 1] ?? bucket;
    const change = Math.max(bucket.max, before.max) - Math.min(bucket.min, before.min);
    if (change <= reach) continue;
    const last = buckets[Math.min(index + AFTER, buckets.length - 1)] ?? bucket;
    const span = { fromMs: before.startMs, toMs: last.startMs + bucketMs };
    const previous = spans.at(-1);
    if (previous === undefined || readFromMs(span) > readToMs(previous)) spans.push(span);
    else spans[spans.length - 1] = { fromMs: previous.fromMs, toMs: span.toMs };
  }
  return spans;
}

export interface Weeded {
  readonly buckets: readonly ReadingBucket[];
  readonly doubted: readonly Point[];
}

/**
 * Sums the buckets of a span up anew without what is doubted. `points` are all readings around the span, in order; `within`
 * is what the buckets were asked for. A bucket of which readings went (only sums are kept) stays as it is: what was doubted
 * cannot be told from sums.
 */
export function weeded(
  quantity: Quantity,
  buckets: readonly ReadingBucket[],
  points: readonly Point[],
  bucketMs: number,
  within: SuspectSpan,
): Weeded {
  const asked = points.filter(({ atMs }) => atMs >= within.fromMs && atMs < within.toMs);
  const startOf = ({ atMs }: Point) => bucketStartMs(atMs, bucketMs);
  const heard = Map.groupBy(asked, startOf);
  const apart = toldApart(quantity, points);
  const doubts = new Set(apart.doubted);
  const found: Point[] = [];
  const kept = buckets.flatMap((bucket) => {
    const own = heard.get(bucket.startMs) ?? [];
    const believed = own.filter((point) => !doubts.has(point));
    if (own.length < bucket.count || believed.length === own.length) return [bucket];
    found.push(...own.filter((point) => doubts.has(point)));
    return believed.length === 0 ? [] : [summedUp(bucket.startMs, believed)];
  });
  return { buckets: kept, doubted: found };
}

function summedUp(startMs: number, points: readonly Point[]): ReadingBucket {
  let [min, max, sum] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0];
  for (const { value } of points) {
    min = Math.min(min, value);
    max = Math.max(max, value);
    sum += value;
  }
  return { startMs, min, mean: sum / points.length, max, count: points.length };
}
