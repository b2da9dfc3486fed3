import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  freshLimits,
  freshnessAt,
  heard,
  type ProbeRhythm,
  silenceLimits,
  usualIntervalMs,
} from '../../src/domain/probe-health.ts';
import { HOUR, MINUTE, NOON, SECOND } from '../support/builders.ts';

const rhythmOf = (...atMs: readonly number[]): ProbeRhythm => {
  const rhythm = atMs.reduce<ProbeRhythm | null>(heard, null);
  if (rhythm === null) throw new Error('give a time');
  return rhythm;
};
const every = (intervalMs: number): ProbeRhythm => rhythmOf(0, intervalMs, 2 * intervalMs, 3 * intervalMs);

describe('how often a probe speaks', () => {
  test('is not known from one reading', () => {
    expect(usualIntervalMs(rhythmOf(NOON))).toBeNull();
  });

  test('is the median: one long silence and one burst do not move it', () => {
    expect(usualIntervalMs(rhythmOf(0, 60, 120, 180, 240))).toBe(60);
    expect(usualIntervalMs(rhythmOf(0, 60, 120, 86_000, 86_060, 86_061, 86_121))).toBe(60);
  });

  test('forgets what was usual long ago', () => {
    const slow = Array.from({ length: 30 }, (_, i) => i * HOUR);
    const fast = Array.from({ length: 15 }, (_, i) => 29 * HOUR + (i + 1) * SECOND);
    const rhythm = rhythmOf(...slow, ...fast);
    expect(rhythm.intervalsMs).toHaveLength(15);
    expect(usualIntervalMs(rhythm)).toBe(SECOND);
  });

  test('an older reading and the same again change nothing', () => {
    const rhythm = rhythmOf(0, 60);
    expect(heard(rhythm, 60)).toBe(rhythm);
    expect(heard(rhythm, 59)).toBe(rhythm);
  });
});

describe('limits', () => {
  test.each([
    [SECOND, 2 * MINUTE],
    [40 * SECOND, 2 * MINUTE],
    [41 * SECOND, 123 * SECOND],
    [MINUTE, 3 * MINUTE],
    [10 * MINUTE, 30 * MINUTE],
    [HOUR, 30 * MINUTE],
  ])('a probe that speaks every %d ms is fresh for %d ms, late for four times that', (everyMs, freshMs) => {
    expect(freshLimits(every(everyMs))).toEqual({ freshForMs: freshMs, lateForMs: 4 * freshMs });
  });

  test('a probe heard once is fresh for two minutes', () => {
    expect(freshLimits(rhythmOf(NOON))).toEqual({ freshForMs: 2 * MINUTE, lateForMs: 8 * MINUTE });
  });

  test('a probe heard once may speak seldom: it is not called silent for half an hour', () => {
    expect(silenceLimits(rhythmOf(NOON))).toEqual({ freshForMs: 2 * MINUTE, lateForMs: 30 * MINUTE });
    expect(silenceLimits(every(MINUTE))).toEqual(freshLimits(every(MINUTE)));
  });

  test.each([
    [0, 'fresh'],
    [3 * MINUTE, 'fresh'],
    [3 * MINUTE + 1, 'late'],
    [12 * MINUTE, 'late'],
    [12 * MINUTE + 1, 'stale'],
  ] as const)('%d ms after a reading it is %s', (ageMs, freshness) => {
    expect(freshnessAt(freshLimits(every(MINUTE)), ageMs)).toBe(freshness);
  });
});

test('whatever a probe does, its limits stay between two and thirty minutes, and time only makes it older', () => {
  const ages = fc.integer({ min: 0, max: 4 * HOUR });
  const order = ['fresh', 'late', 'stale'];
  fc.assert(
    fc.property(fc.array(fc.integer({ min: -1000, max: 10 * HOUR }), { maxLength: 40 }), ages, ages, (steps, a, b) => {
      let atMs = 0;
      const times = steps.map((step) => {
        atMs += step;
        return atMs;
      });
      const rhythm = rhythmOf(0, ...times);
      const limits = freshLimits(rhythm);
      expect(rhythm.lastMeasuredAtMs).toBe(Math.max(0, ...times));
      expect(limits.freshForMs).toBeGreaterThanOrEqual(2 * MINUTE);
      expect(limits.freshForMs).toBeLessThanOrEqual(30 * MINUTE);
      const [young, old] = [Math.min(a, b), Math.max(a, b)];
      expect(order.indexOf(freshnessAt(limits, young))).toBeLessThanOrEqual(order.indexOf(freshnessAt(limits, old)));
    }),
  );
});
