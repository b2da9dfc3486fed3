/** Aim: when a keg may pass its window's top is told as the sure count of many possible kegs tells. */
import { describe, expect, test } from 'vitest';
import { begin, carbonating, walkOn } from './kegs.ts';

const AHEAD = { beerC: 4, ambientKpaAbsolute: 101.325, horizonHours: 14 * 24 };

describe('the risk of holding more than a content', () => {
  const estimate = carbonating(288, 1000);
  const told = (volumes: number, headspaceKpaGauge: number, risk = 0.05) =>
    estimate.hoursUntilAbove(volumes, { ...AHEAD, headspaceKpaGauge }, risk);

  test.each([1, 2, 3])('comes when the count of many kegs says so, by whatever chance (%i)', (seed) => {
    const keg = carbonating(288, 1000, seed);
    for (const kpa of [110, 150, 200]) {
      const counted = keg.prospect({
        beerC: 4,
        headspaceKpaGauge: kpa,
        ambientKpaAbsolute: 101.325,
        hours: AHEAD.horizonHours,
        points: 2,
        goal: { low: 2, high: 2.5 },
        fromVolumes: null,
      }).passingHours;
      const hours = keg.hoursUntilAbove(2.5, { ...AHEAD, headspaceKpaGauge: kpa }, 0.05);
      expect(counted).not.toBeNull();
      // 64 kegs in long strides against 400 in short ones.
      expect(Math.abs((hours ?? 0) - (counted ?? 0))).toBeLessThan(0.2 * (counted ?? 0) + 1);
    }
  });

  test('comes sooner under more pressure, and later for a greater content or share', () => {
    const hours = [90, 120, 180].map((kpa) => told(2.3, kpa) ?? Number.POSITIVE_INFINITY);
    expect(hours[1]).toBeLessThan(hours[0] ?? 0);
    expect(hours[2]).toBeLessThan(hours[1] ?? 0);
    expect(told(2.6, 180) ?? 0).toBeGreaterThan(told(2.3, 180) ?? 0);
    expect(told(2.3, 180, 0.5) ?? 0).toBeGreaterThan(told(2.3, 180) ?? 0);
  });

  test('never comes where the beer ends below it, is there where it holds more, and asks for numbers', () => {
    expect(told(3.5, 60)).toBeNull();
    expect(told(0.1, 60)).toBe(0);
    expect(told(2.5, Number.NaN)).toBeNull();
  });

  test('leaves the estimate as it was, and is asked anew of other conditions and of a later time', () => {
    const sweet = walkOn(begin({ beerState: 'priming', beerC: 20 }), 0, 20, () => ({ beerC: 20 }));
    const before = sweet.snapshot();
    const ask = (headspaceKpaGauge: number) =>
      sweet.hoursUntilAbove(2.6, { ...AHEAD, beerC: 20, headspaceKpaGauge }, 0.5);
    const first = ask(250);
    expect(first).toBeGreaterThan(0);
    expect(ask(400)).toBeLessThan(first ?? 0);
    expect(ask(250)).toBe(first);
    expect(sweet.snapshot()).toEqual(before);
    walkOn(sweet, 20, 308, () => ({ beerC: 20, headspaceKpaGauge: 250 }));
    expect(ask(250)).toBeLessThan(first ?? 0);
  });
});
