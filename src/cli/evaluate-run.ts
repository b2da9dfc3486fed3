/** One simulated keg, replayed: the only place where the estimate meets the simulation. */
import process from 'node:process';
import { Replay } from '../app/replay.ts';
import { replayEvents } from '../app/replay-feed.ts';
import type { ScoredRun } from '../app/score.ts';
import type { ReplayLine } from '../contract/index.ts';
import { record } from '../simulate/situations/catalogue.ts';
import type { Situation } from '../simulate/situations/situation.ts';
import { takeMessage } from './evaluate-values.ts';

const EVERY_MS = 15 * 60_000;
const STEP_MS = 5 * 60_000;
/** What the brewer wants: the program's usual window, as cold as the fridge is set to, which half a degree above it is. */
const WANTED = { low: 2.0, high: 2.5 };
const USUAL_FRIDGE_C = 2;
const COLD_ABOVE_C = 0.5;

/** Simulates a situation and replays what arrived, in order of arrival. */
export function runSituation(situation: Situation, seed: number): ScoredRun {
  const { kegId, startMs, endMs, events: entered, messages, truths } = record(situation, seed, EVERY_MS);
  const celsius = entered.find((entry) => entry.kind === 'fridge-set')?.celsius ?? USUAL_FRIDGE_C;
  const at = new Date(startMs).toISOString();
  const events = [...entered, { kind: 'target-set' as const, at, volumes: 2.25, tolerance: 0.25, celsius }];
  const before = process.cpuUsage();
  const replay = new Replay({ kegId, events: replayEvents(kegId, events), everyMs: EVERY_MS, seed });
  const lines: ReplayLine[] = [];
  for (const message of messages.toSorted((a, b) => a.deliverAtMs - b.deliverAtMs)) {
    lines.push(...takeMessage(replay, message));
  }
  const used = process.cpuUsage(before);
  return {
    situation: situation.name,
    group: situation.group,
    seed,
    filledAtMs: startMs,
    window: { ...WANTED, coldC: celsius + COLD_ABOVE_C },
    lines,
    truths: truths.map(({ atMs, chartVolumes, beerC, leaking }) => ({ atMs, chartVolumes, beerC, leaking })),
    cpuS: (used.user + used.system) / 1e6,
    steps: (endMs - startMs) / STEP_MS,
  };
}
