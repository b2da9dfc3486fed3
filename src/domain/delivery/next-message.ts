import { messagesLeft, type Spent, stillSpent } from './limit.ts';
import { type Matter, type Part, partsKey } from './matter.ts';
import type { Thread } from './thread.ts';

/** All that decides what goes out next on a lane. */
export interface LaneView {
  readonly laneId: string;
  /** A program hears every turn by itself, at once, without quiet hours, limits, digests or escalation. */
  readonly isProgram: boolean;
  /** `second`: tried only where nobody acknowledged in time. */
  readonly step: 'first' | 'second';
  readonly threads: readonly Thread[];
  readonly matters: ReadonlyMap<string, Matter>;
  readonly isQuiet: boolean;
  readonly spent: readonly Spent[];
  /** For second lanes: when a matter is due on them, as long as nobody acknowledges; null: never. */
  readonly escalatesAtMs: (matterId: string) => number | null;
}

/** What happens together is told together: so long a matter waits for others (ms). */
export const GATHER_MS = 1000;

/** The parts of the message that goes out next; null: nothing now. More than one part is a digest. */
export function nextMessage(lane: LaneView, nowMs: number): readonly Part[] | null {
  const waiting = lane.threads
    .toSorted((a, b) => a.sinceMs - b.sinceMs || (a.matterId < b.matterId ? -1 : 1))
    .flatMap((thread) => {
      const matter = lane.matters.get(thread.matterId);
      const part = matter === undefined ? null : partOf(thread, matter, lane.isProgram);
      return matter === undefined || part === null ? [] : [{ thread, matter, part }];
    });
  if (lane.isProgram) return waiting[0] === undefined ? null : [waiting[0].part];
  const due = waiting.filter(({ thread, matter, part }) => !isHeld(lane, thread, matter, part, nowMs));
  const urgent = due.find(({ matter }) => matter.level === 'urgent');
  if (urgent !== undefined) return [urgent.part];
  if (lane.isQuiet || due.length === 0) return null;
  const gathered = due.some(({ thread }) => Math.abs(nowMs - thread.sinceMs) >= GATHER_MS);
  if (!gathered) return null;
  return withinLimit(
    lane,
    due.map(({ part }) => part),
    nowMs,
  );
}

/** Threads of which nothing will ever be told: over before they were due on a second lane. */
export function lapsedThreads(lane: LaneView): readonly string[] {
  if (lane.step === 'first' || lane.isProgram) return [];
  return lane.threads.flatMap(({ matterId, told }) => {
    const matter = lane.matters.get(matterId);
    return told === 'nothing' && (matter === undefined || matter.endedAtMs !== null) ? [matterId] : [];
  });
}

function partOf(thread: Thread, matter: Matter, isProgram: boolean): Part | null {
  const { matterId, told, toldVersion } = thread;
  const { version } = matter;
  if (matter.endedAtMs !== null) return { matterId, version, turn: told === 'nothing' ? 'both' : 'end' };
  if (told === 'nothing') return { matterId, version, turn: 'begin' };
  return isProgram && toldVersion < version ? { matterId, version, turn: 'change' } : null;
}

/** Quiet hours and the limit hold all of a lane; this holds single matters. An end is never held by a mute. */
function isHeld(lane: LaneView, thread: Thread, matter: Matter, part: Part, nowMs: number): boolean {
  if (part.turn !== 'begin' && part.turn !== 'both') return false;
  if (lane.step === 'second' && !isEscalated(lane, matter, nowMs)) return true;
  const isMuted = matter.mutedUntilMs !== null && nowMs < matter.mutedUntilMs;
  return part.turn === 'begin' && isMuted && matter.level !== 'urgent' && thread.told === 'nothing';
}

function isEscalated(lane: LaneView, matter: Matter, nowMs: number): boolean {
  if (matter.acknowledgedAtMs !== null || matter.endedAtMs !== null) return false;
  const dueAtMs = lane.escalatesAtMs(matter.id);
  return dueAtMs !== null && nowMs >= dueAtMs;
}

/** As many single messages as a person may still get; more than that, and all of them come as one. */
function withinLimit(lane: LaneView, due: readonly Part[], nowMs: number): readonly Part[] | null {
  // A message that went out by another way already is no further one.
  const sent = new Set(stillSpent(lane.spent, nowMs).map(({ key }) => key));
  const again = due.find((part) => sent.has(partsKey([part])));
  if (again !== undefined) return [again];
  if (sent.has(partsKey(due))) return due;
  const left = messagesLeft(lane.spent, nowMs);
  if (left === 0) return null;
  return due.length <= left ? due.slice(0, 1) : due;
}
