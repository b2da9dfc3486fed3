/** What of a plan stands in a calendar, and when it counts as changed. */
import type * as contract from '../contract/index.ts';
import { timeWords } from './local-time.ts';

/** One entry of the calendar; `sequence` counts the times it was changed (RFC 5545, 3.8.7.4). */
export interface PlanEntry {
  readonly uid: string;
  readonly sequence: number;
  readonly status: 'TENTATIVE' | 'CANCELLED';
  readonly atMs: number;
  readonly endMs: number;
  readonly summary: string;
  readonly text: string;
  /** When it was last changed. */
  readonly changedMs: number;
}

/** A step that moves by less is no news: every estimate trembles (ms). */
const MOVED_MS = 30 * 60_000;
/** What is far off may move by more: a tenth of the time until then. */
const MOVED_SHARE = 0.1;
const USUAL_MS = 15 * 60_000;
const MINUTE_MS = 60_000;
const ENTRIES_MAX = 100;

interface Named {
  readonly planId: string;
  /** What it is for, and the keg. */
  readonly name: string;
  readonly timeZone: string;
  readonly nowMs: number;
}

/** The entries of a plan as it is now, from those it had. Whatever is no longer planned is cancelled; what is past stays. */
export function entriesOf(before: readonly PlanEntry[], plan: contract.FillPlan, named: Named): PlanEntry[] {
  const wanted = drafts(plan, named);
  const kept = before.map((entry) => {
    const draft = wanted.get(entry.uid);
    if (draft !== undefined) return isSame(entry, draft, named.nowMs) ? entry : changed(entry, draft, named.nowMs);
    return entry.atMs > named.nowMs ? cancelledEntry(entry, named.nowMs) : entry;
  });
  const known = new Set(before.map(({ uid }) => uid));
  const fresh = [...wanted].flatMap(([uid, draft]): PlanEntry[] =>
    known.has(uid) ? [] : [{ ...draft, uid, sequence: 0, status: 'TENTATIVE', changedMs: named.nowMs }],
  );
  return [...kept, ...fresh].slice(-ENTRIES_MAX);
}

/** All that is still to come, cancelled. */
export function cancelEntries(before: readonly PlanEntry[], nowMs: number): PlanEntry[] {
  return before.map((entry) => (entry.endMs > nowMs ? cancelledEntry(entry, nowMs) : entry));
}

type Draft = Pick<PlanEntry, 'atMs' | 'endMs' | 'summary' | 'text'>;

function cancelledEntry(entry: PlanEntry, nowMs: number): PlanEntry {
  if (entry.status === 'CANCELLED') return entry;
  return { ...entry, status: 'CANCELLED', sequence: entry.sequence + 1, changedMs: nowMs };
}

function changed(entry: PlanEntry, draft: Draft, nowMs: number): PlanEntry {
  return { ...entry, ...draft, status: 'TENTATIVE', sequence: entry.sequence + 1, changedMs: nowMs };
}

function isSame(entry: PlanEntry, draft: Draft, nowMs: number): boolean {
  if (entry.status !== 'TENTATIVE' || entry.summary !== draft.summary) return false;
  // What is due and not done yet is said for now, again and again: it stays where it was.
  const isDue = entry.atMs <= nowMs && draft.atMs <= nowMs + MOVED_MS;
  const bearable = Math.max(MOVED_MS, MOVED_SHARE * (entry.atMs - nowMs));
  return isDue || Math.abs(entry.atMs - draft.atMs) < bearable;
}

/** What people do, by uid: the same step of a plan has the same uid for ever. */
function drafts(plan: contract.FillPlan, named: Named): Map<string, Draft> {
  const counts = new Map<string, number>();
  const found = new Map<string, Draft>();
  for (const step of plan.steps) {
    if (step.by !== 'you' || step.kind === 'end') continue;
    const key = keyOf(step);
    const count = (counts.get(key) ?? 0) + 1;
    counts.set(key, count);
    found.set(`${named.planId}.${key}${count === 1 ? '' : `.${count}`}@quietkeg`, draftOf(step, plan, named));
  }
  return found;
}

/** Settings of the regulator are told apart by their pressure: the second does not become the first once that is done. */
const keyOf = ({ kind, value }: contract.PlanStep): string =>
  kind === 'regulator' && value !== null ? `${kind}-${Math.round(value)}` : kind;

function draftOf(step: contract.PlanStep, plan: contract.FillPlan, { name, timeZone, nowMs }: Named): Draft {
  const atMs = Math.round(Date.parse(step.at) / MINUTE_MS) * MINUTE_MS;
  const isFill = step.kind === 'fill';
  return {
    atMs,
    endMs: atMs + (isFill ? plan.needs.sessionMinutes * MINUTE_MS : USUAL_MS),
    summary: isFill ? `Fill bottles: ${name}` : `${step.what} (${name})`,
    text: [isFill ? plan.reason : step.why, rangeWords(step, nowMs, timeZone)].filter((part) => part !== '').join(' '),
  };
}

function rangeWords({ at, earliest, latest }: contract.PlanStep, nowMs: number, timeZone: string): string {
  const words = (time: string) => timeWords(Date.parse(time), nowMs, timeZone);
  if (Date.parse(latest) - Date.parse(earliest) < MOVED_MS) return '';
  if (earliest === at) return `Latest ${words(latest)}.`;
  return `Between ${words(earliest)} and ${words(latest)}.`;
}
