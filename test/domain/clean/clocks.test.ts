import { describe, expect, test } from 'vitest';
import { ArrivalClock } from '../../../src/domain/clean/arrival-clock.ts';
import { type ClockWatch, skewMs, UNWATCHED, watchClock } from '../../../src/domain/clean/clock-skew.ts';
import { DAY, HOUR, MINUTE, NOON } from '../../support/builders.ts';

const from = (source: string) => (atMs: number) => ({ source, atMs });
const a = from('a');
const b = from('b');

/** A clock that has heard one probe every minute for ten minutes. */
function aClock() {
  const clock = new ArrivalClock<{ source: string; atMs: number }>();
  for (let minute = 0; minute < 10; minute += 1) clock.take(a(NOON + minute * MINUTE));
  return clock;
}

describe('the present, told by what arrives', () => {
  test('begins with the second arrival, which the first had to wait for', () => {
    const clock = new ArrivalClock();
    expect(clock.take(a(NOON))).toEqual([]);
    expect(clock.nowMs).toBeNull();
    expect(clock.waiting).toBe(1);
    expect(clock.take(b(NOON + MINUTE))).toEqual([a(NOON), b(NOON + MINUTE)]);
    expect(clock.nowMs).toBe(NOON + MINUTE);
    expect(clock.waiting).toBe(0);
  });

  test('takes what is late without going back', () => {
    const clock = aClock();
    expect(clock.take(b(NOON - 3 * DAY))).toEqual([b(NOON - 3 * DAY)]);
    expect(clock.nowMs).toBe(NOON + 9 * MINUTE);
  });

  test('does not believe one probe that leaps, nor the same message twice', () => {
    const clock = aClock();
    expect(clock.take(b(NOON + DAY))).toEqual([]);
    expect(clock.take(b(NOON + DAY))).toEqual([]);
    expect(clock.take(a(NOON + 10 * MINUTE))).toHaveLength(1);
    expect(clock.nowMs).toBe(NOON + 10 * MINUTE);
    expect(clock.waiting).toBe(2);
  });

  test('believes a leap that another confirms, as after a night without power', () => {
    const clock = aClock();
    clock.take(a(NOON + DAY));
    expect(clock.take(b(NOON + DAY + MINUTE))).toEqual([a(NOON + DAY), b(NOON + DAY + MINUTE)]);
    expect(clock.nowMs).toBe(NOON + DAY + MINUTE);
  });

  test('two wrong clocks do not confirm each other unless they agree', () => {
    const clock = aClock();
    clock.take(a(NOON + 300 * DAY));
    expect(clock.take(b(NOON + 900 * DAY))).toEqual([]);
    expect(clock.take(b(NOON + 20 * DAY))).toEqual([]);
    expect(clock.nowMs).toBe(NOON + 9 * MINUTE);
  });

  test('what leapt is taken when time itself gets there', () => {
    const clock = aClock();
    clock.take(b(NOON + 3 * HOUR));
    clock.take(a(NOON + 20 * MINUTE));
    expect(clock.take(a(NOON + 75 * MINUTE))).toEqual([a(NOON + 75 * MINUTE)]);
    expect(clock.take(a(NOON + 2.1 * HOUR))).toEqual([a(NOON + 2.1 * HOUR), b(NOON + 3 * HOUR)]);
    expect(clock.nowMs).toBe(NOON + 3 * HOUR);
  });

  test('keeps no more than it can bear', () => {
    const clock = aClock();
    for (let index = 0; index < 20_050; index += 1) {
      // Each before the one before it, so that none confirms another.
      clock.take(b(NOON + (30_000 - index) * DAY));
    }
    expect(clock.waiting).toBe(20_000);
  });
});

describe('a clock that is off', () => {
  const watched = (delayMs: (index: number) => number, count = 40): ClockWatch =>
    Array.from({ length: count }, (_, index) => index).reduce(
      (watch, index) => watchClock(watch, NOON + index * MINUTE, NOON + index * MINUTE + delayMs(index)),
      UNWATCHED,
    );

  test('is told by the least delay if slow, by the least lead if fast', () => {
    expect(skewMs(watched((index) => 4 * MINUTE + (index % 5) * 10_000))).toBe(4 * MINUTE);
    expect(skewMs(watched((index) => -10 * MINUTE + (index % 5) * 10_000))).toBe(-10 * MINUTE + 40_000);
  });

  test('is not told from late messages, nor from a few', () => {
    expect(skewMs(watched((index) => (index % 2 === 0 ? 1000 : HOUR)))).toBeNull();
    expect(skewMs(watched(() => 4 * MINUTE, 29))).toBeNull();
    expect(skewMs(watched((index) => (index < 30 ? 4 * MINUTE : 0), 60))).toBeNull();
  });
});
