/** At most this many messages reach a person within `LIMIT_WINDOW_MS`; what is more waits and comes as one. */
export const MESSAGES_MAX = 4;
export const LIMIT_WINDOW_MS = 10 * 60_000;

/** A message that a person was sent. The same message by a second way is not another one. */
export interface Spent {
  readonly key: string;
  readonly laneId: string;
  readonly atMs: number;
}

/** Those that still count. A wall clock that was set back makes some lie ahead; they count as long, and no longer. */
export function stillSpent(spent: readonly Spent[], nowMs: number): Spent[] {
  return spent.filter(({ atMs }) => Math.abs(nowMs - atMs) < LIMIT_WINDOW_MS);
}

/** How many further messages a person may be sent now. */
export function messagesLeft(spent: readonly Spent[], nowMs: number): number {
  return Math.max(0, MESSAGES_MAX - new Set(stillSpent(spent, nowMs).map(({ key }) => key)).size);
}
