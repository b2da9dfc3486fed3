import { type Signal, signal } from '@preact/signals';
import type { Curve } from '../../src/contract/curve.ts';
import { type Answer, ask } from './api.ts';

/** What a batch held last, by its curve; null if nobody could tell. */
export interface Held {
  readonly volumes: number;
  readonly low: number;
  readonly high: number;
}

export interface Endings {
  /** By batch id; what was not asked yet is missing. */
  readonly known: Signal<ReadonlyMap<string, Held | null>>;
  /** Asks for what is not known, one after the other; returns what gives up the rest. */
  follow(batchIds: readonly string[]): () => void;
}

/** A curve of few points is quick to work out, and of a month's batch its last value is hours old at most. */
const POINTS = 120;

/** What batches that are over held in the end: it changes no more, so each is asked for once. */
export function endingsBy(askCurve: (batchId: string) => Promise<Answer<Curve>>): Endings {
  const known = signal<ReadonlyMap<string, Held | null>>(new Map());

  async function askAll(batchIds: readonly string[], wanted: () => boolean): Promise<void> {
    for (const batchId of batchIds) {
      if (!wanted()) return;
      if (known.peek().has(batchId)) continue;
      const answer = await askCurve(batchId);
      // Nobody answers now: the rest is asked for when the page is opened again.
      if (!answer.ok) return;
      known.value = new Map(known.peek()).set(batchId, lastHeld(answer.body));
    }
  }

  return {
    known,
    follow(batchIds) {
      let wanted = true;
      void askAll(batchIds, () => wanted);
      return () => {
        wanted = false;
      };
    },
  };
}

export const endings = endingsBy((batchId) =>
  ask<Curve>('GET', `/batches/${encodeURIComponent(batchId)}/curve?points=${POINTS}`),
);

/** The last estimate of a curve; null if it has none. */
export function lastHeld({ columns }: Pick<Curve, 'columns'>): Held | null {
  const last = columns.dissolvedVolumes.findLastIndex((value) => value !== null);
  const [volumes, low, high] = [
    columns.dissolvedVolumes[last],
    columns.dissolvedLow[last],
    columns.dissolvedHigh[last],
  ];
  return volumes == null || low == null || high == null ? null : { volumes, low, high };
}
