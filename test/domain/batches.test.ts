import { describe, expect, test } from 'vitest';
import { batchOf, batchSpans } from '../../src/domain/batches.ts';
import type { KegEvent } from '../../src/domain/event.ts';
import { aBatch, aFilling, anEvent, HOUR, NOON } from '../support/builders.ts';

const filled = (eventId: string, hour: number) => anEvent(NOON + hour * HOUR, aFilling(), { eventId });
const emptied = (hour: number) => anEvent(NOON + hour * HOUR, { kind: 'keg-emptied' });
const spans = (...events: readonly KegEvent[]) =>
  batchSpans(events).map(({ batchId, beganAtMs, endedAtMs }) => [
    batchId,
    (beganAtMs - NOON) / HOUR,
    endedAtMs === null ? null : (endedAtMs - NOON) / HOUR,
  ]);

describe('batches follow fillings and emptyings', () => {
  test('a filling begins one that is open', () => {
    expect(spans(filled('a', 0))).toEqual([['a', 0, null]]);
  });

  test('an emptying ends it, and the next filling begins another', () => {
    expect(spans(filled('a', 0), emptied(5), filled('b', 6))).toEqual([
      ['a', 0, 5],
      ['b', 6, null],
    ]);
  });

  test('a filling of a full keg tops up', () => {
    expect(spans(filled('a', 0), filled('b', 1), emptied(2))).toEqual([['a', 0, 2]]);
  });

  test('an emptying of an empty keg is nothing', () => {
    expect(spans(emptied(0), filled('a', 1), emptied(2), emptied(3))).toEqual([['a', 1, 2]]);
  });

  test('other entries do not matter', () => {
    const note = anEvent(NOON + HOUR, { kind: 'note', text: 'x' });
    expect(spans(filled('a', 0), note)).toEqual([['a', 0, null]]);
    expect(spans()).toEqual([]);
  });
});

describe('a batch of a span', () => {
  const span = { batchId: 'b1', beganAtMs: NOON, endedAtMs: NOON + HOUR };

  test('that nobody described is named by its day', () => {
    expect(batchOf('one', span, undefined)).toEqual({
      batchId: 'b1',
      kegId: 'one',
      brewId: null,
      name: 'Filled 2026-06-01',
      style: null,
      abvPercent: null,
      originalExtractPlato: null,
      beganAtMs: NOON,
      endedAtMs: NOON + HOUR,
      limits: {},
    });
  });

  test('keeps its description when its times change', () => {
    const known = aBatch({ style: 'Amber', abvPercent: 5.1, beganAtMs: 0, endedAtMs: null });
    expect(batchOf('one', span, known)).toEqual({ ...known, beganAtMs: NOON, endedAtMs: NOON + HOUR });
  });
});
