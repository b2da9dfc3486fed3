import { describe, expect, test } from 'vitest';
import { retireBeforeMs } from '../../src/domain/retention.ts';
import type { Subject } from '../../src/domain/topic.ts';
import { aBatch, aKeg, DAY, NOON } from '../support/builders.ts';

const KEGS = [aKeg({ kegId: 'one' }), aKeg({ kegId: 'two', placeId: 'cellar', supplyId: 'bulk' })];
const AGO = NOON - 90 * DAY;
const limitOf = (subject: Subject, batches: Parameters<typeof retireBeforeMs>[2] = [], rawDays = 90) =>
  retireBeforeMs(subject, KEGS, batches, rawDays, NOON);

const ONE = { kind: 'keg', id: 'one' } as const;
const LONG_OPEN = aBatch({ kegId: 'one', beganAtMs: NOON - 200 * DAY });
const JUST_ENDED = aBatch({ kegId: 'one', beganAtMs: NOON - 150 * DAY, endedAtMs: AGO + 1 });
const LONG_OVER = aBatch({ kegId: 'one', beganAtMs: NOON - 300 * DAY, endedAtMs: AGO - 1 });

describe('readings are needed one by one', () => {
  test('for ninety days in any case, or as many as are set', () => {
    expect(limitOf(ONE)).toBe(AGO);
    expect(limitOf(ONE, [LONG_OVER])).toBe(AGO);
    expect(limitOf(ONE, [], 365)).toBe(NOON - 365 * DAY);
  });

  test('from before the filling of a batch that is open, or over for less than that', () => {
    expect(limitOf(ONE, [LONG_OPEN])).toBe(LONG_OPEN.beganAtMs - 4 * DAY);
    expect(limitOf(ONE, [LONG_OVER, JUST_ENDED])).toBe(JUST_ENDED.beganAtMs - 4 * DAY);
  });

  test('of what surrounds a keg too, but not of another', () => {
    const needed = LONG_OPEN.beganAtMs - 4 * DAY;
    expect(limitOf({ kind: 'place', id: 'fridge' }, [LONG_OPEN])).toBe(needed);
    expect(limitOf({ kind: 'supply', id: 'gas' }, [LONG_OPEN])).toBe(needed);
    expect(limitOf({ kind: 'site' }, [LONG_OPEN])).toBe(needed);
    expect(limitOf({ kind: 'keg', id: 'two' }, [LONG_OPEN])).toBe(AGO);
    expect(limitOf({ kind: 'place', id: 'cellar' }, [LONG_OPEN])).toBe(AGO);
    expect(limitOf({ kind: 'supply', id: 'bulk' }, [LONG_OPEN])).toBe(AGO);
  });

  test('of every place, where nobody knows any more where the keg stood', () => {
    const gone = { ...LONG_OPEN, kegId: 'gone' };
    expect(limitOf({ kind: 'place', id: 'cellar' }, [gone])).toBe(gone.beganAtMs - 4 * DAY);
    expect(limitOf({ kind: 'supply', id: 'bulk' }, [gone])).toBe(gone.beganAtMs - 4 * DAY);
  });
});
