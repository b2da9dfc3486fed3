/**
 * Aim: what a probe said is taken as it was meant, in whatever order and shape it came, and on nothing later.
 * Method: courses written down by hand, and any order of any points (fast-check).
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { CleanSeries } from '../../../src/domain/clean/cleaned.ts';
import { type Point, ProbePoints } from '../../../src/domain/clean/points.ts';
import { STEP_MS, stepStart } from '../../../src/domain/clean/step.ts';
import { isBelievable } from '../../../src/domain/clean/wild.ts';
import { HOUR, MINUTE, NOON } from '../../support/builders.ts';

/** A point a minute from noon on. */
const minutes = (...values: readonly number[]): Point[] =>
  values.map((value, index) => ({ atMs: NOON + index * MINUTE, value }));
function cleaned(points: readonly Point[], usual = 1): CleanSeries {
  const series = new CleanSeries(usual);
  for (const point of points) series.add(point);
  return series;
}
const mean = (points: readonly Point[], usual = 1) => cleaned(points, usual).step(NOON)?.mean ?? null;

describe('steps', () => {
  test('lie on whole multiples of five minutes, also before 1970', () => {
    expect(stepStart(NOON + STEP_MS - 1)).toBe(NOON);
    expect(stepStart(NOON + STEP_MS)).toBe(NOON + STEP_MS);
    expect(stepStart(-1)).toBe(-STEP_MS);
  });
});

describe('a step of a probe', () => {
  test('is the mean of what it said within it', () => {
    expect(cleaned(minutes(4, 4.2, 4.4)).step(NOON)).toEqual({
      mean: expect.closeTo(4.2, 9),
      count: 3,
      lastAtMs: NOON + 2 * MINUTE,
    });
    expect(cleaned(minutes(4)).step(NOON + STEP_MS)).toBeNull();
    expect(cleaned([{ atMs: NOON + HOUR, value: 4 }]).step(NOON)).toBeNull();
  });

  test.each([
    ['a sentinel of a thermometer that lost its sensor', [4, 4, 85, 4, 4], 4],
    ['two of them', [4, 85, 4, -127, 4], 4],
    ['the first of all', [85, 4, 4, 4, 4], 4],
  ])('leaves out %s', (_name, values, wanted) => {
    expect(mean(minutes(...values))).toBe(wanted);
  });

  test('believes a jump that persists, from the third reading on', () => {
    const jumped = cleaned(minutes(70, 70, 70, 70, 70, 85, 85, 85, 85, 85), 3);
    expect(jumped.step(NOON)?.mean).toBe(70);
    expect(jumped.step(NOON + STEP_MS)?.mean).toBe(85);
    // Only two have come: nobody knows yet.
    expect(cleaned(minutes(70, 70, 70, 70, 70, 85, 85), 3).step(NOON + STEP_MS)).toBeNull();
  });

  test('with one value takes it, and of two that differ the first', () => {
    expect(mean(minutes(4))).toBe(4);
    expect(mean(minutes(4, 85))).toBe(4);
    expect(mean(minutes(85, 4))).toBe(85);
  });

  test('follows a value that always swings', () => {
    const swinging = minutes(0, 6, 1, 7, 0, 6, 1, 7, 0, 6);
    expect(cleaned(swinging, 1).step(NOON + STEP_MS)?.count).toBe(5);
  });

  test('after six hours of silence the old level no longer counts', () => {
    const points = [...minutes(4, 4, 4, 4), { atMs: NOON + 7 * HOUR, value: 20 }];
    expect(cleaned(points).step(NOON + 7 * HOUR)?.mean).toBe(20);
    const sooner = [...minutes(4, 4, 4, 4), { atMs: NOON + 5 * HOUR, value: 20 }];
    expect(cleaned(sooner).step(NOON + 5 * HOUR)).toBeNull();
  });

  test('one odd value among many that agree is far by the spread of the others', () => {
    expect(isBelievable(9, minutes(4, 4, 4, 9, 9), 1)).toBe(false);
    expect(isBelievable(9, minutes(4, 9, 4, 9, 9), 1)).toBe(true);
  });
});

describe('the order of arrival', () => {
  const point = fc.record({
    atMs: fc.integer({ min: 0, max: 60 }).map((minute) => NOON + minute * MINUTE),
    value: fc.constantFrom(4, 4.1, 4.3, 5, 9, 85, -127),
  });
  const course = (points: readonly Point[], ask: boolean) => {
    const series = new CleanSeries(1);
    for (const one of points) {
      series.add(one);
      if (ask) for (let step = 0; step < 13; step += 1) series.step(NOON + step * STEP_MS);
    }
    return Array.from({ length: 13 }, (_, step) => series.step(NOON + step * STEP_MS));
  };

  test('changes nothing once all is in, whenever it was asked', () => {
    fc.assert(
      fc.property(fc.array(point, { maxLength: 60 }), fc.infiniteStream(fc.nat()), (points, picks) => {
        const shuffled = points
          .map((one) => ({ one, key: picks.next().value ?? 0 }))
          .toSorted((a, b) => a.key - b.key)
          .map(({ one }) => one);
        expect(course(shuffled, true)).toEqual(course(points, false));
        expect(course([...points, ...points], true)).toEqual(course(points, false));
      }),
      { numRuns: 60 },
    );
  });

  test('and nothing rests on what lies after the step', () => {
    fc.assert(
      fc.property(fc.array(point, { maxLength: 40 }), fc.array(point, { maxLength: 40 }), (early, late) => {
        const before = early.filter(({ atMs }) => atMs < NOON + 30 * MINUTE);
        const after = late.filter(({ atMs }) => atMs >= NOON + 30 * MINUTE);
        expect(course([...before, ...after], true).slice(0, 6)).toEqual(course(before, false).slice(0, 6));
      }),
      { numRuns: 60 },
    );
  });
});

describe('what is kept', () => {
  test('doubles count once; a second value of one moment counts too', () => {
    const points = new ProbePoints();
    expect(points.add({ atMs: NOON, value: 4 })).toBe(true);
    expect(points.add({ atMs: NOON, value: 4 })).toBe(false);
    expect(points.add({ atMs: NOON, value: 5 })).toBe(true);
    expect(points.at(NOON)).toHaveLength(2);
    expect(cleaned(minutes(4)).add({ atMs: NOON, value: 4 })).toBe(false);
  });

  test('a fast probe is thinned to the same points, whatever their order', () => {
    const many = Array.from({ length: 200 }, (_, index) => ({
      atMs: NOON + index * 1000,
      value: 4 + (index % 7) / 10,
    }));
    const kept = (order: readonly Point[]) => {
      const points = new ProbePoints();
      for (const one of order) points.add(one);
      return points.at(NOON);
    };
    expect(kept(many)).toHaveLength(40);
    expect(kept(many.toReversed())).toEqual(kept(many));
    const average = (points: readonly Point[]) => points.reduce((sum, { value }) => sum + value, 0) / points.length;
    expect(Math.abs(average(kept(many)) - average(many))).toBeLessThan(0.06);
  });

  test('the newest points before a moment, no more than asked for and none too old', () => {
    const points = new ProbePoints();
    expect(points.before(NOON, 5, HOUR)).toEqual([]);
    for (const one of minutes(1, 2, 3, 4, 5, 6, 7, 8)) points.add(one);
    const values = (untilMs: number, count: number, withinMs: number) =>
      points.before(untilMs, count, withinMs).map(({ value }) => value);
    expect(values(NOON + 6.5 * MINUTE, 3, HOUR)).toEqual([5, 6, 7]);
    expect(values(NOON + 7 * MINUTE, 9, 2 * MINUTE)).toEqual([6, 7]);
    expect(values(NOON + HOUR, 9, HOUR)).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
  });

  test('what is forgotten is gone, what is newer stays', () => {
    const series = cleaned([...minutes(4, 4), { atMs: NOON + HOUR, value: 5 }]);
    expect(series.step(NOON)?.mean).toBe(4);
    expect(series.step(NOON + HOUR)?.mean).toBe(5);
    series.forgetBefore(NOON + HOUR);
    expect(series.step(NOON)).toBeNull();
    expect(series.timesBefore(NOON + 2 * HOUR, 9, 9 * HOUR)).toEqual([NOON + HOUR]);
  });

  test('the last value is looked for no further back than asked', () => {
    const series = cleaned(minutes(4));
    expect(series.last(NOON + HOUR, 2 * HOUR)?.mean).toBe(4);
    expect(series.last(NOON + 3 * HOUR, HOUR)).toBeNull();
    const odd = cleaned([...minutes(4, 4, 4, 4), { atMs: NOON + HOUR, value: 85 }]);
    expect(odd.last(NOON + 2 * HOUR, 3 * HOUR)?.lastAtMs).toBe(NOON + 3 * MINUTE);
    expect(series.timesBefore(NOON + HOUR, 3, HOUR)).toEqual([NOON]);
  });
});
