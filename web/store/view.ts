import type { Episode } from '../../src/contract/alert.ts';
import type { KegState } from '../../src/contract/state.ts';

/** What the live connection has told, as plain values. Everything the pages show of kegs and alerts comes from here. */
export interface View {
  readonly connection: 'connecting' | 'live';
  /** Revision of the last frame; null before the first snapshot of a connection. */
  readonly revision: number | null;
  readonly kegs: readonly KegState[];
  readonly alerts: readonly Episode[];
  /** True once a snapshot came, or one was remembered from the last visit. */
  readonly known: boolean;
  /** When a frame last came (this device's clock); null before the first. */
  readonly heardAtMs: number | null;
  /** How far the service's clock is ahead of this device's. */
  readonly clockAheadMs: number;
  /** When this page began to try. */
  readonly startedAtMs: number;
  /** What the connection must do next: the reducer asks, the connection obeys. */
  readonly want: 'nothing' | 'snapshot' | 'reload';
}

export function emptyView(startedAtMs: number): View {
  return {
    connection: 'connecting',
    revision: null,
    kegs: [],
    alerts: [],
    known: false,
    heardAtMs: null,
    clockAheadMs: 0,
    startedAtMs,
    want: 'nothing',
  };
}

/** How long a new connection may take before the page says that it hears nothing. */
export const GRACE_MS = 5_000;
/** Remembered states older than this are not believed, not even while connecting. */
const REMEMBERED_FOR_MS = 120_000;

export type Hearing =
  | { readonly kind: 'fine' }
  | { readonly kind: 'old'; readonly sinceMs: number | null; readonly said: boolean };

/**
 * Whether what the page shows may be believed. `old` strikes the values; `said` also puts up the band, which waits a
 * few seconds so that a page that comes back from sleep does not flash. Times are this device's.
 */
export function hearing(view: View, nowMs: number): Hearing {
  if (view.connection === 'live') return { kind: 'fine' };
  const tryingForMs = nowMs - Math.max(view.startedAtMs, view.heardAtMs ?? 0);
  const silentForMs = view.heardAtMs === null ? Number.POSITIVE_INFINITY : nowMs - view.heardAtMs;
  const said = tryingForMs > GRACE_MS;
  if (!said && silentForMs < REMEMBERED_FOR_MS) return { kind: 'fine' };
  return { kind: 'old', sinceMs: view.heardAtMs, said };
}
