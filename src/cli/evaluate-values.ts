/** What simulated probes write, as values of a replay. */
import type { Replay } from '../app/replay.ts';
import { QUANTITIES, type ReplayLine } from '../contract/index.ts';

interface Message {
  readonly topic: string;
  readonly payload: string;
  readonly deliverAtMs: number;
}

interface Value {
  readonly value: number;
  readonly unit: string | null;
  readonly atMs: number;
}

/** Feeds a message to a replay; gives the lines that its time brings. */
export function takeMessage(replay: Replay, message: Message): ReplayLine[] {
  const quantity = QUANTITIES.find((one) => message.topic.endsWith(`/${one}`));
  if (quantity === undefined) return [];
  return valuesOf(message).flatMap((value) => {
    const taken = replay.take({ quantity, ...value });
    return taken.ok ? taken.lines : [];
  });
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
