import type { Part } from './matter.ts';

/** What one lane (one way to one person, or to a program) was told of one matter. After the end there is none. */
export interface Thread {
  readonly matterId: string;
  readonly told: 'nothing' | 'begin';
  /** Version of the matter that was told last. */
  readonly toldVersion: number;
  /** Since when there is something that was not told (ms). */
  readonly sinceMs: number;
  /** When the begin was first tried to be delivered, successfully or not; null: not yet. */
  readonly triedAtMs: number | null;
}

export function newThread(matterId: string, nowMs: number): Thread {
  return { matterId, told: 'nothing', toldVersion: -1, sinceMs: nowMs, triedAtMs: null };
}

/** The thread after a part of it was handed over; null: nothing is left to tell. */
export function afterTold(thread: Thread, part: Part, nowMs: number): Thread | null {
  if (part.turn === 'end' || part.turn === 'both') return null;
  return { ...thread, told: 'begin', toldVersion: part.version, sinceMs: nowMs };
}

/** The thread after a part of it was given up: an end without its begin would puzzle, a change without news is none. */
export function afterGivenUp(thread: Thread, part: Part): Thread | null {
  return part.turn === 'change' ? { ...thread, toldVersion: part.version } : null;
}
