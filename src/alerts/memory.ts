import type { Finding, Rule } from './rule.ts';
import { type AlertState, QUIET, stepAlert } from './step.ts';

interface Sample {
  readonly atMs: number;
  readonly finding: Finding;
}

/** An alert with its newest samples, so that one which comes late can still be put into its place. */
export interface AlertMemory {
  readonly state: AlertState;
  /** Where it stood before the samples that are remembered, and the time up to which nothing can be corrected (ms). */
  readonly base: AlertState;
  readonly baseMs: number;
  /** In order of time. */
  readonly recent: readonly Sample[];
}

/** How far back a late sample still counts (ms), and how many are remembered at most. */
export const LATE_MS = 2 * 3600_000;
const RECENT_MAX = 400;

export function memoryOf(state: AlertState): AlertMemory {
  const baseMs = state.kind === 'quiet' ? Number.NEGATIVE_INFINITY : state.lastSampleMs;
  return { state, base: state, baseMs, recent: [] };
}

export const NOTHING_REMEMBERED: AlertMemory = memoryOf(QUIET);

/**
 * What an alert remembers after a restart. While it builds, its first and its last sample are known, so that late ones can
 * still be put into their places.
 */
export function resumedMemory(rule: Rule, state: AlertState): AlertMemory {
  if (state.kind !== 'building' || state.lastSampleMs - state.beganAtMs > rule.sampleGapMsMax) return memoryOf(state);
  const times = [...new Set([state.beganAtMs, state.lastSampleMs])];
  return { ...NOTHING_REMEMBERED, state, recent: times.map((atMs) => ({ atMs, finding: 'holds' })) };
}

/**
 * Moves an alert by one sample that may come late. Gives every state that it goes through, the last one being where it
 * stands now. What was told already is never taken back: while an episode goes on, and before the end of the last one, late
 * samples change nothing.
 */
export function rememberSample(
  rule: Rule,
  memory: AlertMemory,
  finding: Finding,
  atMs: number,
): { readonly memory: AlertMemory; readonly turns: readonly AlertState[] } {
  const lastMs = memory.recent.at(-1)?.atMs ?? memory.baseMs;
  if (atMs > lastMs) {
    const state = stepAlert(rule, memory.state, finding, atMs);
    const recent = [...memory.recent, { atMs, finding }];
    return { memory: pruned(rule, { ...memory, state, recent }, atMs), turns: [state] };
  }
  const isTold = memory.state.kind === 'active' || memory.state.kind === 'clearing';
  if (isTold || atMs <= memory.baseMs || memory.recent.some((sample) => sample.atMs === atMs)) {
    return { memory, turns: [] };
  }
  const recent = [...memory.recent, { atMs, finding }].toSorted((a, b) => a.atMs - b.atMs);
  const turns: AlertState[] = [];
  let state = memory.base;
  for (const sample of recent) {
    state = stepAlert(rule, state, sample.finding, sample.atMs);
    if (!isSame(turns.at(-1) ?? memory.state, state)) turns.push(state);
  }
  const last = turns.findLast(({ kind }) => kind === 'ended');
  const kept = { ...memory, state, recent };
  return { memory: last === undefined ? kept : after(kept, last), turns };
}

function isSame(a: AlertState, b: AlertState): boolean {
  return a.kind === b.kind && (a.kind === 'quiet' || b.kind === 'quiet' || a.beganAtMs === b.beganAtMs);
}

/** Nothing before an end can be corrected any more. */
function after(memory: AlertMemory, ended: AlertState): AlertMemory {
  const { baseMs } = memoryOf(ended);
  return { ...memory, base: ended, baseMs, recent: memory.recent.filter(({ atMs }) => atMs > baseMs) };
}

/** Forgets samples that are too old to matter, or too many. */
function pruned(rule: Rule, memory: AlertMemory, lastMs: number): AlertMemory {
  const { state, recent } = memory;
  if (state.kind === 'active' || state.kind === 'clearing') return memoryOf(state);
  if (state.kind === 'ended') return after(memory, state);
  const fromMs = lastMs - LATE_MS;
  let { base, baseMs } = memory;
  let drop = 0;
  for (const sample of recent) {
    if (sample.atMs >= fromMs && recent.length - drop <= RECENT_MAX) break;
    base = stepAlert(rule, base, sample.finding, sample.atMs);
    baseMs = sample.atMs;
    drop += 1;
  }
  return drop === 0 ? memory : { state, base, baseMs, recent: recent.slice(drop) };
}
