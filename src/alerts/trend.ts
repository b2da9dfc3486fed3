import type { ReadingBucket } from '../domain/reading.ts';

/** What a probe said lately, summed up by spans of equal width, in order of time. */
export type Trend = readonly ReadingBucket[];

/**
 * Adds a value to a trend, in place. A late one finds its span; what is older than `keepMs` before the newest is forgotten.
 */
export function addToTrend(
  trend: ReadingBucket[],
  atMs: number,
  value: number,
  { widthMs, keepMs }: { readonly widthMs: number; readonly keepMs: number },
): void {
  const startMs = Math.floor(atMs / widthMs) * widthMs;
  const last = trend.at(-1);
  if (last === undefined || startMs > last.startMs) {
    trend.push({ startMs, min: value, mean: value, max: value, count: 1 });
    trend.splice(
      0,
      trend.findIndex((span) => span.startMs >= startMs - keepMs),
    );
    return;
  }
  if (startMs < last.startMs - keepMs) return;
  const index = last.startMs === startMs ? trend.length - 1 : trend.findIndex((span) => span.startMs >= startMs);
  const known = trend[index];
  if (known?.startMs === startMs) trend[index] = grown(known, value);
  else trend.splice(index, 0, { startMs, min: value, mean: value, max: value, count: 1 });
}

function grown({ startMs, min, mean, max, count }: ReadingBucket, value: number): ReadingBucket {
  return {
    startMs,
    min: Math.min(min, value),
    mean: mean + (value - mean) / (count + 1),
    max: Math.max(max, value),
    count: count + 1,
  };
}

/** Spans that begin within fromMs <= start < toMs. */
export function between(trend: Trend, fromMs: number, toMs: number): Trend {
  return trend.filter(({ startMs }) => startMs >= fromMs && startMs < toMs);
}

/** The middle one of the means; null without any. */
export function medianOf(trend: Trend): number | null {
  const sorted = trend.map(({ mean }) => mean).toSorted((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? null;
}

/**
 * Mean over time, each span holding until the next one, but not for longer than `holdMs`; null if less than `heardMs` of the
 * time was heard.
 */
export function timeMean(
  trend: Trend,
  fromMs: number,
  toMs: number,
  { holdMs, heardMs }: { readonly holdMs: number; readonly heardMs: number },
): number | null {
  let [sum, heard] = [0, 0];
  for (const [index, { startMs, mean }] of trend.entries()) {
    const untilMs = Math.min(trend[index + 1]?.startMs ?? toMs, startMs + holdMs, toMs);
    const lasted = untilMs - Math.max(startMs, fromMs);
    if (lasted <= 0) continue;
    sum += mean * lasted;
    heard += lasted;
  }
  return heard > 0 && heard >= heardMs ? sum / heard : null;
}

/** Since when a trend has been one and the same value, without the least change (ms); null without spans. */
export function stuckSinceMs(trend: Trend): number | null {
  const value = trend.at(-1)?.min;
  if (value === undefined) return null;
  const index = trend.findLastIndex(({ min, max }) => min !== value || max !== value);
  return trend[index + 1]?.startMs ?? null;
}
