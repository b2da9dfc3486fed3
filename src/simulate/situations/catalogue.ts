import type { EventEntry } from '../../contract/event.ts';
import type { ProbeMessage } from '../probe.ts';
import { createRandom } from '../random.ts';
import type { KegReport } from '../truth.ts';
import { CALM } from './calm.ts';
import { LEAKS, MISTAKES, PROBES, SUPPLY } from './faults.ts';
import { type SituationRun, stage, type Wishes } from './script.ts';
import type { Situation } from './situation.ts';
import { USE } from './use.ts';

/** All situations, to judge an estimate by: each gives a different keg and course for each seed. */
export const SITUATIONS: readonly Situation[] = [...CALM, ...LEAKS, ...SUPPLY, ...PROBES, ...MISTAKES, ...USE];

/** Sets a situation up for a seed. `changes` override what it wishes: its length and the probes' interval, say. */
export function build(situation: Situation, seed: number, changes: Wishes = {}): SituationRun {
  const { wishes = {}, write } = situation;
  // Each situation has kegs of its own, so that a few seeds over all situations already see many different ones.
  const random = createRandom(seed, situation.name);
  const ownSeed = random.integer(0, 2 ** 31);
  return stage(ownSeed, { ...(typeof wishes === 'function' ? wishes(random) : wishes), ...changes }, write);
}

/** A situation that has run to its end. */
export interface Recording {
  readonly kegId: string;
  readonly startMs: number;
  readonly endMs: number;
  readonly events: readonly EventEntry[];
  /** In order of arrival. */
  readonly messages: readonly ProbeMessage[];
  /** The truth at whole multiples of `truthEveryMs` from the start. */
  readonly truths: readonly KegReport[];
}

/** Runs a situation to its end and keeps what arrived, what was entered and what was true. */
export function record(situation: Situation, seed: number, truthEveryMs: number, changes: Wishes = {}): Recording {
  const { kegId, startMs, endMs, cellar, events } = build(situation, seed, changes);
  const messages: ProbeMessage[] = [];
  const truths: KegReport[] = [];
  for (let atMs = startMs + truthEveryMs; atMs <= endMs; atMs += truthEveryMs) {
    for (const message of cellar.advanceTo(atMs)) messages.push(message);
    const truth = cellar.truth(kegId);
    if (truth !== null) truths.push(truth);
  }
  return { kegId, startMs, endMs, events, messages, truths };
}
