import type { Role } from './role.ts';

/** A browser that logged in, a tablet that was let in by a link, or a program with a key. */
export type SessionKind = 'log-in' | 'device' | 'program';

/** Somebody who is in. The token that proves it is known to its holder alone; we keep its digest. */
export interface Session {
  readonly sessionId: string;
  readonly tokenDigest: string;
  readonly role: Role;
  readonly kind: SessionKind;
  readonly name: string;
  readonly createdAtMs: number;
  /** Last use, to the hour: writing each would wear the disk for nothing. */
  readonly seenAtMs: number;
}

/** A link that lets one tablet in, once. */
export interface Invitation {
  readonly tokenDigest: string;
  readonly name: string;
  readonly createdAtMs: number;
}

const DAY_MS = 24 * 3600_000;
/** Longest without use, and longest in all, before one has to come in anew (ms); null: as long as it is used, or not revoked. */
const LASTS: Readonly<Record<SessionKind, { readonly idleMs: number | null; readonly wholeMs: number | null }>> = {
  'log-in': { idleMs: 30 * DAY_MS, wholeMs: 180 * DAY_MS },
  device: { idleMs: 400 * DAY_MS, wholeMs: null },
  program: { idleMs: null, wholeMs: null },
};
/** How long a link for a tablet waits (ms). */
export const INVITATION_MS = DAY_MS;
/** A use is noted when the last one noted is older (ms). */
export const SEEN_STEP_MS = 3600_000;

export function isOver(session: Session, nowMs: number): boolean {
  const { idleMs, wholeMs } = LASTS[session.kind];
  return (
    (idleMs !== null && nowMs - session.seenAtMs > idleMs) ||
    (wholeMs !== null && nowMs - session.createdAtMs > wholeMs)
  );
}

/** When it ends if it is not used again; null for never. */
export function endsAtMs({ kind, seenAtMs, createdAtMs }: Session): number | null {
  const { idleMs, wholeMs } = LASTS[kind];
  const ends = [...(idleMs === null ? [] : [seenAtMs + idleMs]), ...(wholeMs === null ? [] : [createdAtMs + wholeMs])];
  return ends.length === 0 ? null : Math.min(...ends);
}
