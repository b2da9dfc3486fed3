import { type BatchSpan, batchSpans } from '../batches.ts';
import type { KegEvent } from '../event.ts';

/** A gas check as the entries tell it. */
export interface GasCheck {
  readonly startedAtMs: number;
  /** Null while it is going on. */
  readonly endedAtMs: number | null;
  /** The keg is shaken while the gas is closed. */
  readonly shaken: boolean;
  /** The batch in the keg when it began; null for an empty keg. */
  readonly batchId: string | null;
}

/** All checks that the entries of a keg tell up to a moment, oldest first. Events in order of time. */
export function gasChecksOf(events: readonly KegEvent[], nowMs: number): GasCheck[] {
  const past = events.filter(({ atMs }) => atMs <= nowMs);
  const spans = batchSpans(past);
  const checks: GasCheck[] = [];
  let open: GasCheck | null = null;
  for (const { atMs, body } of past) {
    if (body.kind === 'gas-check-started') {
      open = begun(open, { startedAtMs: atMs, shaken: body.shaken ?? false, batchId: batchAt(spans, atMs) });
    } else if (open !== null && ENDING.has(body.kind)) {
      checks.push({ ...open, endedAtMs: atMs });
      open = null;
    }
  }
  return open === null ? checks : [...checks, open];
}

/** The check that is going on at a moment, or null. Events in order of time. */
export function runningCheck(events: readonly KegEvent[], nowMs: number): GasCheck | null {
  const last = gasChecksOf(events, nowMs).at(-1);
  return last === undefined || last.endedAtMs !== null ? null : last;
}

/** Begun again while it is going on, it is the same check: only that it is shaken may be news. */
function begun(open: GasCheck | null, fresh: Omit<GasCheck, 'endedAtMs'>): GasCheck {
  return open === null ? { ...fresh, endedAtMs: null } : { ...open, shaken: open.shaken || fresh.shaken };
}

/** Whatever ends a check. A filling does: what was seen before says nothing of the new beer. */
const ENDING: ReadonlySet<string> = new Set(['gas-check-ended', 'gas-opened', 'keg-emptied', 'keg-filled']);

function batchAt(spans: readonly BatchSpan[], atMs: number): string | null {
  const holds = ({ beganAtMs, endedAtMs }: BatchSpan) => beganAtMs <= atMs && (endedAtMs === null || endedAtMs > atMs);
  return spans.find(holds)?.batchId ?? null;
}
