import type { EventEntry } from '../contract/event.ts';
import type { KegEvent } from '../domain/event.ts';

/** Entries as the events of one keg, in the order in which they stand. */
export function replayEvents(kegId: string, entries: readonly EventEntry[]): KegEvent[] {
  return entries.map(({ at, place, supply, ...body }, index) => {
    const atMs = Date.parse(at);
    const subject =
      place !== undefined
        ? ({ kind: 'place', id: place } as const)
        : supply !== undefined
          ? ({ kind: 'supply', id: supply } as const)
          : ({ kind: 'keg', id: kegId } as const);
    return { eventId: `event-${index + 1}`, subject, atMs, enteredAtMs: atMs, body };
  });
}
