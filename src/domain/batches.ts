import type { Batch } from './catalogue.ts';
import type { KegEvent } from './event.ts';

/** From filling a keg to emptying it. */
export interface BatchSpan {
  /** The id of its filling is the id of the batch. */
  readonly batchId: string;
  readonly beganAtMs: number;
  readonly endedAtMs: number | null;
}

/**
 * The batches that a keg's fillings and emptyings make, oldest first. A filling while the keg is full starts nothing: it
 * tops up.
 */
export function batchSpans(eventsInOrder: readonly KegEvent[]): BatchSpan[] {
  const spans: BatchSpan[] = [];
  let open: BatchSpan | null = null;
  for (const { body, eventId, atMs } of eventsInOrder) {
    if (body.kind === 'keg-filled' && open === null) {
      open = { batchId: eventId, beganAtMs: atMs, endedAtMs: null };
    } else if (body.kind === 'keg-emptied' && open !== null) {
      spans.push({ ...open, endedAtMs: atMs });
      open = null;
    }
  }
  return open === null ? spans : [...spans, open];
}

/** A batch for a span, described as before if it was known, else named by the keg and the day it was filled. */
export function batchOf(kegId: string, span: BatchSpan, known: Batch | undefined): Batch {
  const day = new Date(span.beganAtMs).toISOString().slice(0, 10);
  const described = known ?? {
    brewId: null,
    name: `Filled ${day}`,
    style: null,
    abvPercent: null,
    originalExtractPlato: null,
    limits: {},
  };
  return { ...described, batchId: span.batchId, kegId, beganAtMs: span.beganAtMs, endedAtMs: span.endedAtMs };
}
