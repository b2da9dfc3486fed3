import { describe, expect, test } from 'vitest';
import { beerAfter, type ColdBasis, coldWay } from '../../../src/domain/fill-plan/cold-way.ts';

const aCold = (changes: Partial<ColdBasis> = {}) =>
  coldWay({
    beerC: 4,
    fridgeC: 4,
    moving: false,
    goalC: 2,
    limitC: 2.2,
    safeC: -0.5,
    cooling: { hours: 10, lowHours: 9, highHours: 11 },
    litres: 18.5,
    hours: 72,
    ...changes,
  });

describe('the way to cold beer', () => {
  test('sets the fridge below the fill temperature, by what the beer does at its present setting', () => {
    expect(aCold().setC).toBe(1.5);
    // Beer that stands a degree above its fridge needs the fridge a degree lower.
    expect(aCold({ beerC: 5 }).setC).toBe(0.5);
    expect(aCold({ beerC: 5 }).endC).toBeCloseTo(1.5, 9);
    // Still on its way it teaches nothing.
    expect(aCold({ beerC: 5, moving: true }).setC).toBe(1.5);
  });

  test('leaves a fridge that is cold enough', () => {
    expect(aCold({ beerC: 1.5, fridgeC: 1 })).toMatchObject({ setC: null, probability: 1 });
    expect(aCold({ beerC: 6, fridgeC: 1, moving: true })).toMatchObject({ setC: null, endC: 1 });
  });

  test('says how long it takes: lumped cooling, worked by hand', () => {
    // From 12 °C to 2.2 °C in a fridge of 1 °C with 10 h: 10 ln(11/1.2) = 22.2 h.
    const way = aCold({ beerC: 12, fridgeC: 1, moving: true });
    expect(way.coldIn.hours).toBeCloseTo(22.2, 1);
    expect(way.coldIn.lowHours).toBeLessThan(way.coldIn.hours);
    expect(way.coldIn.highHours).toBeGreaterThan(way.coldIn.hours);
    expect(way.slackH).toBeLessThan(72 - way.coldIn.hours);
    expect(beerAfter(way, 12, 10)).toBeCloseTo(1 + 11 / Math.E, 9);
  });

  test('is doubtful when time is short', () => {
    const late = aCold({ beerC: 12, fridgeC: 1, moving: true, hours: 22 });
    expect(late.probability).toBeGreaterThan(0.2);
    expect(late.probability).toBeLessThan(0.8);
    expect(aCold({ beerC: 12, fridgeC: 1, moving: true, hours: 5 }).probability).toBe(0);
  });

  test('takes a usual keg where none was seen cooling, and a slower one of a large keg', () => {
    expect(aCold({ cooling: null }).tauH.hours).toBe(10);
    expect(aCold({ cooling: null, litres: 55 }).tauH.hours).toBe(16);
    const unseen = aCold({ cooling: null, beerC: 12, fridgeC: 1, moving: true }).coldIn;
    expect(unseen.highHours).toBeGreaterThan(30);
  });

  test('never below what the beer bears', () => {
    expect(aCold({ safeC: 1.8 }).setC).toBe(2);
    expect(aCold({ safeC: 2.5 })).toMatchObject({ safe: false });
  });

  test('with no fridge known it names the setting all the same', () => {
    expect(aCold({ fridgeC: null, beerC: 12 })).toMatchObject({ setC: 1.5, endC: 1.5 });
  });

  test('beer that never gets there in a fridge set too near is not cold in time', () => {
    const way = aCold({ fridgeC: 1.6, beerC: 3, moving: true, safeC: 1.6, limitC: 1.7 });
    expect(way.probability).toBeLessThan(1);
    expect(way.coldIn.highHours).toBe(24 * 14);
  });
});
