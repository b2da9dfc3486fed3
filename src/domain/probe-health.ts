export type Freshness = 'fresh' | 'late' | 'stale';

const MINUTE_MS = 60_000;
const FRESH_INTERVALS = 3;
const FRESH_MS_MIN = 2 * MINUTE_MS;
const FRESH_MS_MAX = 30 * MINUTE_MS;
const LATE_FACTOR = 4;
/** How many of the newest intervals tell what is usual. */
const INTERVALS_KEPT = 15;

/** What is known of how often a probe speaks. */
export interface ProbeRhythm {
  readonly lastMeasuredAtMs: number;
  /** Newest last; at most `INTERVALS_KEPT`. */
  readonly intervalsMs: readonly number[];
}

export interface FreshLimits {
  /** Age up to which the probe is fresh (ms). */
  readonly freshForMs: number;
  /** Age up to which it is late; beyond, it is stale (ms). */
  readonly lateForMs: number;
}

/** Follows a probe's newest reading; an older or doubled one changes nothing. */
export function heard(rhythm: ProbeRhythm | null, measuredAtMs: number): ProbeRhythm {
  if (rhythm === null) return { lastMeasuredAtMs: measuredAtMs, intervalsMs: [] };
  const interval = measuredAtMs - rhythm.lastMeasuredAtMs;
  if (interval <= 0) return rhythm;
  return {
    lastMeasuredAtMs: measuredAtMs,
    intervalsMs: [...rhythm.intervalsMs.slice(-(INTERVALS_KEPT - 1)), interval],
  };
}

/** Median interval between readings (ms), or null if there were fewer than two. One long silence does not move it. */
export function usualIntervalMs(rhythm: ProbeRhythm): number | null {
  const sorted = rhythm.intervalsMs.toSorted((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? null;
}

/** Fresh up to 3 usual intervals, at least 2 and at most 30 min; late up to 4 times that. */
export function freshLimits(rhythm: ProbeRhythm): FreshLimits {
  const wanted = FRESH_INTERVALS * (usualIntervalMs(rhythm) ?? 0);
  const freshForMs = Math.min(FRESH_MS_MAX, Math.max(FRESH_MS_MIN, wanted));
  return { freshForMs, lateForMs: LATE_FACTOR * freshForMs };
}

/**
 * As `freshLimits`, but for calling a probe silent. One reading does not tell yet how often a probe speaks; calling it
 * silent before half an hour would be a false alarm for those that speak seldom.
 */
export function silenceLimits(rhythm: ProbeRhythm): FreshLimits {
  const limits = freshLimits(rhythm);
  return usualIntervalMs(rhythm) === null ? { ...limits, lateForMs: FRESH_MS_MAX } : limits;
}

export function freshnessAt(limits: FreshLimits, ageMs: number): Freshness {
  if (ageMs <= limits.freshForMs) return 'fresh';
  return ageMs <= limits.lateForMs ? 'late' : 'stale';
}
