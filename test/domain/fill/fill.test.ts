import { describe, expect, test } from 'vitest';
import { drawnL, fillEvents, tastingsDue } from '../../../src/domain/fill/fill.ts';
import { DAY, HOUR, NOON } from '../../support/builders.ts';
import { aBottle, aFill } from '../../support/fills.ts';

describe('what a fill says of its keg', () => {
  test('while it goes on, only that it began', () => {
    expect(fillEvents({ fill: aFill(), bottles: [aBottle(1)] })).toEqual([
      { eventId: 'fill-f1-started', atMs: NOON, body: { kind: 'fill-started' } },
    ]);
  });

  test('after its end, how much beer is gone: bottles that foamed and what was lost included', () => {
    const bottles = [aBottle(1, { sizeL: 0.33 }), aBottle(2, { note: 'spilled' }), aBottle(3, { sizeL: 0.1 })];
    const record = { fill: aFill({ endedAtMs: NOON + HOUR, lostL: 0.2 }), bottles };
    expect(drawnL(record)).toBe(1.13);
    expect(fillEvents(record)).toEqual([
      { eventId: 'fill-f1-started', atMs: NOON, body: { kind: 'fill-started' } },
      { eventId: 'fill-f1-drawn', atMs: NOON + HOUR, body: { kind: 'beer-drawn', litres: 1.13 } },
      { eventId: 'fill-f1-ended', atMs: NOON + HOUR, body: { kind: 'fill-ended' } },
    ]);
  });

  test('and nothing of beer if no bottle was filled', () => {
    const events = fillEvents({ fill: aFill({ endedAtMs: NOON }), bottles: [] });
    expect(events.map(({ body }) => body.kind)).toEqual(['fill-started', 'fill-ended']);
  });
});

describe('bottles to taste', () => {
  const five = [1, 2, 3, 4, 5].map((number) => aBottle(number));
  const numbers = (record: Parameters<typeof tastingsDue>[0]) => tastingsDue(record).map(({ bottle }) => bottle.number);

  test('are the first, the middle and the last, three weeks after the end', () => {
    const due = tastingsDue({ fill: aFill({ endedAtMs: NOON }), bottles: five });
    expect(due.map(({ bottle }) => bottle.number)).toEqual([1, 3, 5]);
    expect(due.map(({ dueAtMs }) => dueAtMs)).toEqual([NOON + 21 * DAY, NOON + 21 * DAY, NOON + 21 * DAY]);
  });

  test('are none while the fill goes on, or where nobody wants to be asked', () => {
    expect(numbers({ fill: aFill(), bottles: five })).toEqual([]);
    expect(numbers({ fill: aFill({ endedAtMs: NOON, tasteAfterDays: null }), bottles: five })).toEqual([]);
    expect(numbers({ fill: aFill({ endedAtMs: NOON }), bottles: [] })).toEqual([]);
  });

  test('are those that are still there, each once', () => {
    const gone = five.map((bottle) => (bottle.number === 5 ? { ...bottle, destination: 'gift' as const } : bottle));
    expect(numbers({ fill: aFill({ endedAtMs: NOON }), bottles: gone })).toEqual([1, 2, 4]);
    expect(numbers({ fill: aFill({ endedAtMs: NOON }), bottles: five.slice(0, 1) })).toEqual([1]);
  });

  test('are asked for until they were tasted, and no other is put in their place', () => {
    const tasting = { atMs: NOON + 22 * DAY, text: 'Bright, a little soft', opinion: 'good' } as const;
    const tasted = five.map((bottle) =>
      bottle.number === 1 ? { ...bottle, destination: 'drunk' as const, tasting } : bottle,
    );
    expect(numbers({ fill: aFill({ endedAtMs: NOON }), bottles: tasted })).toEqual([3, 5]);
  });
});
