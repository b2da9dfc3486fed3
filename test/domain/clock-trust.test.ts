import { describe, expect, test } from 'vitest';
import {
  type ClockTrust,
  clockTrouble,
  EARLIEST_BELIEVABLE_MS,
  judgeClock,
  stepBetween,
} from '../../src/domain/clock-trust.ts';
import { DAY, HOUR, iso, MINUTE, NOON, SECOND } from '../support/builders.ts';

const at = (wallMs: number, monotonicMs = 0) => ({ wallMs, monotonicMs });
const TRUSTED: ClockTrust = { kind: 'trusted' };

describe('a clock', () => {
  test('from before the program was made is never believed, whatever was heard', () => {
    for (const wallMs of [0, 5 * MINUTE, EARLIEST_BELIEVABLE_MS - 1]) {
      for (const before of [null, TRUSTED]) {
        expect(judgeClock(before, at(wallMs, DAY), null)).toEqual({ kind: 'unset' });
        expect(judgeClock(before, at(wallMs, DAY), NOON)).toEqual({ kind: 'unset' });
      }
    }
    expect(judgeClock(null, at(EARLIEST_BELIEVABLE_MS), null)).toEqual(TRUSTED);
  });

  test('that starts before what was heard last is waited for, ten minutes at most', () => {
    const first = judgeClock(null, at(NOON - HOUR, 7), NOON);
    expect(first).toEqual({ kind: 'behind', sinceMonotonicMs: 7 });
    expect(judgeClock(first, at(NOON - HOUR, 10 * MINUTE + 7), NOON)).toEqual(first);
    expect(judgeClock(first, at(NOON - HOUR, 10 * MINUTE + 8), NOON)).toEqual(TRUSTED);
    expect(judgeClock(first, at(NOON + SECOND, 20), NOON)).toEqual(TRUSTED);
  });

  test('a little behind is as clocks are', () => {
    expect(judgeClock(null, at(NOON - 2 * MINUTE), NOON)).toEqual(TRUSTED);
    expect(judgeClock(null, at(NOON - 2 * MINUTE - 1), NOON)).toMatchObject({ kind: 'behind' });
  });

  test('that is set back while it is watched stays believed', () => {
    expect(judgeClock(TRUSTED, at(NOON - 9 * DAY), NOON)).toEqual(TRUSTED);
  });

  test('that is set after 1970 is compared with what was heard', () => {
    expect(judgeClock({ kind: 'unset' }, at(NOON - DAY, 9), NOON)).toEqual({ kind: 'behind', sinceMonotonicMs: 9 });
    expect(judgeClock({ kind: 'unset' }, at(NOON, 9), NOON)).toEqual(TRUSTED);
  });

  test('says what it says and what to do', () => {
    expect(clockTrouble(TRUSTED, NOON)).toBeNull();
    expect(clockTrouble({ kind: 'unset' }, 0)).toMatch(/says 1970-01-01T00:00:00.000Z, which cannot be: set it/);
    expect(clockTrouble({ kind: 'behind', sinceMonotonicMs: 0 }, NOON)).toContain(
      `${iso(NOON)}, which is before the last`,
    );
  });
});

test('a step is what wall time moves beyond the time that passes', () => {
  expect(stepBetween(at(0, 0), at(SECOND, SECOND))).toBeNull();
  expect(stepBetween(at(NOON, 0), at(NOON + HOUR + SECOND, SECOND))).toBe(HOUR);
  expect(stepBetween(at(NOON, 0), at(NOON - HOUR, 0))).toBe(-HOUR);
  expect(stepBetween(at(NOON, 0), at(NOON + 2 * MINUTE - 1, 0))).toBeNull();
});
