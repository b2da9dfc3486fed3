/** One simulated keg, replayed: the only place where the estimate meets the simulation. */
import process from 'node:process';
import { Replay } from '../app/replay.ts';
import { replayEvents } from '../app/replay-feed.ts';
import type { ScoredRun } from '../app/score.ts';
import { QUANTITIES, type ReplayLine } from '../contract/index.ts';
import { record } from '../simulate/situations/catalogue.ts';
import type { Situation } from '../simulate/situations/situation.ts';

const EVERY_MS = 15 * 60_000;
const STEP_MS = 5 * 60_000;
/** What the brewer wants: the program's usual window, as cold as the fridge is set to, which half a degree above it is. */
const WANTED = { low: 2.0, high: 2.5 };
const USUAL_FRIDGE_C = 2;
const COLD_ABOVE_C = 0.5;

type Message = ReturnType<typeof record>['messages'][number];

interface Value {
  readonly value: number;
  readonly unit: string | null;
  readonly atMs: number;
}

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
    const quantity = QUANTITIES.find((one) => message.topic.endsWith(`/${one}`));
    if (quantity === undefined) continue;
    for (const value of valuesOf(message)) {
      const taken = replay.take({ quantity, ...value });
      if (taken.ok) lines.push(...taken.lines);
    }
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

/** The values of a message in the three shapes that simulated probes write. */
function valuesOf({ payload, deliverAtMs }: Message): Value[] {
  const parsed: unknown = JSON.parse(payload);
  if (typeof parsed === 'number') return [{ value: parsed, unit: null, atMs: deliverAtMs }];
  const record = Array.isArray(parsed) ? parsed[0] : parsed;
  if (typeof record !== 'object' || record === null) return [];
  const field = (...names: string[]): unknown =>
    names.map((name) => Reflect.get(record, name)).find((v) => v !== undefined);
  const value = field('value', 'v');
  const unit = field('unit', 'u');
  if (typeof value !== 'number') return [];
  return [{ value, unit: typeof unit === 'string' ? unit : null, atMs: timeOf(field('time', 't')) ?? deliverAtMs }];
}

function timeOf(time: unknown): number | null {
  if (typeof time === 'string') return Date.parse(time);
  if (typeof time !== 'number') return null;
  return time < 1e11 ? time * 1000 : time;
}
