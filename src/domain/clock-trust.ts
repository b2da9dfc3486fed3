/** No copy of this program is older, so a clock that says so has not been set (2026-01-01 UTC). Raised with releases. */
export const EARLIEST_BELIEVABLE_MS = Date.UTC(2026, 0, 1);
/** A clock this far behind what was heard before has not been set; less is what clocks drift (ms). */
const BEHIND_MS_MAX = 2 * 60_000;
/**
 * A clock that is merely behind is waited for this long (ms). After it, the clock was more likely ahead before than it is
 * behind now, and nothing would ever be believed again.
 */
const BEHIND_WAIT_MS_MAX = 10 * 60_000;
/** Wall time that moves this much more or less than time passes was set (ms). */
const STEP_MS_MIN = 2 * 60_000;

/** Whether the machine's own clock tells the time. A small computer without a clock chip starts in 1970, or where it stopped. */
export type ClockTrust =
  | { readonly kind: 'trusted' }
  /** Earlier than this program was made. */
  | { readonly kind: 'unset' }
  /** Earlier than what was heard before the start. */
  | { readonly kind: 'behind'; readonly sinceMonotonicMs: number };

/** Two readings of the machine's clocks at one moment. */
export interface ClockReading {
  /** Epoch ms. May step. */
  readonly wallMs: number;
  /** Never steps (ms). */
  readonly monotonicMs: number;
}

/**
 * Whether to trust the clock now. Earlier readings count only at a start: a clock that steps back while we look was set by
 * somebody who knows better.
 * @param newestHeardMs the newest time of receipt that is known from before the start, or null
 */
export function judgeClock(before: ClockTrust | null, now: ClockReading, newestHeardMs: number | null): ClockTrust {
  if (now.wallMs < EARLIEST_BELIEVABLE_MS) return { kind: 'unset' };
  if (before?.kind === 'trusted' || newestHeardMs === null) return { kind: 'trusted' };
  if (now.wallMs >= newestHeardMs - BEHIND_MS_MAX) return { kind: 'trusted' };
  const sinceMonotonicMs = before?.kind === 'behind' ? before.sinceMonotonicMs : now.monotonicMs;
  return now.monotonicMs - sinceMonotonicMs > BEHIND_WAIT_MS_MAX
    ? { kind: 'trusted' }
    : { kind: 'behind', sinceMonotonicMs };
}

/** By how much the wall clock was set between two moments (ms, negative: back), or null if it was not. */
export function stepBetween(before: ClockReading, now: ClockReading): number | null {
  const step = now.wallMs - before.wallMs - (now.monotonicMs - before.monotonicMs);
  return Math.abs(step) >= STEP_MS_MIN ? step : null;
}

/** Why the clock is not trusted, for the person who runs the service; null if it is. */
export function clockTrouble(trust: ClockTrust, wallMs: number): string | null {
  if (trust.kind === 'trusted') return null;
  const said = `the clock of this machine says ${new Date(wallMs).toISOString()}`;
  const advice = 'set it, or give the machine a network so that it sets itself; what comes in is kept until then';
  return trust.kind === 'unset'
    ? `${said}, which cannot be: ${advice}`
    : `${said}, which is before the last reading: ${advice}`;
}
