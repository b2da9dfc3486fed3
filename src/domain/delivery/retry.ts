const FIRST_PAUSE_MS = 15_000;
const LONGEST_PAUSE_MS = 3_600_000;
/** A remote that asks for more patience than a day is asked again after a day. */
export const RETRY_AFTER_MS_MAX = 24 * 3_600_000;
/** A message that could not be handed over for so long is given up, and its failure stays visible. */
export const GIVE_UP_AFTER_MS = 3 * 24 * 3_600_000;

/**
 * Pause before the next try after `attempts` failures in a row (1 or more): doubling from 15 s to an hour, with up to a
 * quarter more or less, so that many who failed together do not come back together. What the remote asked for is the least.
 * @param chance 0 to below 1
 */
export function retryPauseMs(attempts: number, chance: number, retryAfterMs: number | null): number {
  const growing = Math.min(LONGEST_PAUSE_MS, FIRST_PAUSE_MS * 2 ** Math.min(attempts - 1, 16));
  const jittered = growing * (0.75 + 0.5 * chance);
  return Math.max(jittered, Math.min(retryAfterMs ?? 0, RETRY_AFTER_MS_MAX));
}
