/** Arrivals that tell how far a probe's clock is off. */
const ARRIVALS_KEPT = 30;
/** Less than this is the usual delay of a message (ms). */
const SKEW_MS_MIN = 2 * 60_000;

/** How a probe's times lay to the time of arrival, newest last. */
export interface ClockWatch {
  readonly behindMs: readonly number[];
}

export const UNWATCHED: ClockWatch = { behindMs: [] };

export function watchClock(watch: ClockWatch, measuredAtMs: number, arrivedAtMs: number): ClockWatch {
  return { behindMs: [...watch.behindMs.slice(-(ARRIVALS_KEPT - 1)), arrivedAtMs - measuredAtMs] };
}

/**
 * By how much a probe's clock is slow (ms; negative: fast), or null if nothing says that it is off. A late message has
 * an old time too, so the least delay of many counts: a clock is off in every message.
 */
export function skewMs(watch: ClockWatch): number | null {
  if (watch.behindMs.length < ARRIVALS_KEPT) return null;
  const least = Math.min(...watch.behindMs);
  const greatest = Math.max(...watch.behindMs);
  if (least >= SKEW_MS_MIN) return least;
  return greatest <= -SKEW_MS_MIN ? greatest : null;
}
