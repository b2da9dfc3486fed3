/**
 * Aim: the hours until the beer is cold come true, with an honest band, and "never" is said where it is.
 * Method: beer that cools by the law of one lump (Incropera and DeWitt, ch. 5), whose answer is known by hand.
 */
import { describe, expect, test } from 'vitest';
import {
  type CoolingEstimate,
  createCoolingEstimate,
  handedOn,
  learntTimeConstant,
} from '../../../src/domain/estimate/cooling.ts';
import type { Belief } from '../../../src/domain/estimate/learning.ts';
import type { HoursAhead } from '../../../src/domain/estimate/types.ts';
import { HOUR_MS, STEP_MS } from './kegs.ts';

interface Lump {
  readonly startC: number;
  readonly fridgeC: number;
  readonly tauH: number;
}

const beerAt = ({ startC, fridgeC, tauH }: Lump, hours: number) =>
  fridgeC + (startC - fridgeC) * Math.exp(-hours / tauH);
/** t = tau ln((T0 - T)/(T - T)). */
const hoursTo = ({ startC, fridgeC, tauH }: Lump, goalC: number) =>
  tauH * Math.log((startC - fridgeC) / (goalC - fridgeC));

function watch(estimate: CoolingEstimate, lump: Lump, fromHour: number, untilHour: number): CoolingEstimate {
  for (let ms = fromHour * HOUR_MS; ms < untilHour * HOUR_MS; ms += STEP_MS) {
    // A thermometer's grid and some noise that repeats.
    const beerC = beerAt(lump, ms / HOUR_MS) + 0.03 * Math.sin(ms / 1e6);
    estimate.observe(ms, Math.round(beerC / 0.0625) * 0.0625);
  }
  return estimate;
}

const usual: Lump = { startC: 18, fridgeC: 2, tauH: 10 };
const cooled = () => watch(createCoolingEstimate(2, 18, 19, 'thermowell'), usual, 0, 8);

describe('cold enough', () => {
  test.each([
    { startC: 18, fridgeC: 2, tauH: 10 },
    { startC: 20, fridgeC: 3.4, tauH: 7 },
    { startC: 15, fridgeC: 1.5, tauH: 18 },
  ])('told from six hours of $startC °C in $fridgeC °C, time constant $tauH h', (lump) => {
    const goalC = lump.fridgeC + 1.5;
    const keg = watch(createCoolingEstimate(Math.round(lump.fridgeC), lump.startC, 19, 'thermowell'), lump, 0, 6);
    const told = keg.hoursUntil(goalC, 6 * HOUR_MS);
    const left = hoursTo(lump, goalC) - 6;
    expect(Math.abs((told?.hours ?? 0) - left)).toBeLessThan(0.25 * left);
    expect(told?.lowHours).toBeLessThan(left);
    expect(told?.highHours).toBeGreaterThan(left);
  });

  test('the band closes as the beer cools', () => {
    const keg = createCoolingEstimate(2, 18, 19, 'thermowell');
    const bandAt = (hour: number) => {
      const told = watch(keg, usual, hour - 2, hour).hoursUntil(3, hour * HOUR_MS);
      return (told?.highHours ?? 0) - (told?.lowHours ?? 0);
    };
    const first = bandAt(2);
    for (let hour = 4; hour < 12; hour += 2) bandAt(hour);
    expect(bandAt(14)).toBeLessThan(0.6 * first);
  });

  test('never, where the fridge is not as cold as the goal', () => {
    expect(cooled().hoursUntil(1.5, 8 * HOUR_MS)).toBeNull();
  });

  test('now, where it is', () => {
    expect(cooled().hoursUntil(17, 8 * HOUR_MS)).toEqual({ hours: 0, lowHours: 0, highHours: 0 });
  });

  test('unknown, while nothing was measured or nonsense is asked', () => {
    expect(createCoolingEstimate(2, 18, 19, 'thermowell').hoursUntil(3, 0)).toBeNull();
    expect(cooled().hoursUntil(Number.NaN, 0)).toBeNull();
  });

  test('never, while the beer gets warmer in a place that is too warm', () => {
    const warming: Lump = { startC: 3, fridgeC: 12, tauH: 10 };
    const keg = watch(createCoolingEstimate(12, 3, 19, 'thermowell'), warming, 0, 4);
    expect(keg.hoursUntil(3, 4 * HOUR_MS)).toBeNull();
  });

  test('at once, where the beer hovers about the goal', () => {
    const keg = createCoolingEstimate(2, 2, 19, 'thermowell');
    for (let ms = 0; ms < HOUR_MS; ms += STEP_MS) keg.observe(ms, 3.02);
    expect(keg.hoursUntil(3, HOUR_MS)?.hours).toBeLessThan(0.5);
  });

  test('close to what the fridge gives, the band reaches to the end of what is told', () => {
    const keg = watch(createCoolingEstimate(2, 18, 19, 'thermowell'), usual, 0, 3);
    const told = keg.hoursUntil(2.2, 3 * HOUR_MS);
    expect(told?.hours).toBeGreaterThan(20);
    expect(told?.highHours).toBe(24 * 14);
  });
});

describe('what is known of the cooling', () => {
  test('a fridge whose setting nobody knows is found from the beer', () => {
    const keg = watch(createCoolingEstimate(null, null, 19, 'thermowell'), { ...usual, fridgeC: 6 }, 0, 20);
    expect(keg.hoursUntil(5, 20 * HOUR_MS)).toBeNull();
    expect(
      Math.abs((keg.hoursUntil(7, 20 * HOUR_MS)?.hours ?? 0) - (hoursTo({ ...usual, fridgeC: 6 }, 7) - 20)),
    ).toBeLessThan(3);
  });

  test('a thermometer in the air leaves what is usual', () => {
    const keg = createCoolingEstimate(2, 18, 19, 'air');
    for (let ms = 0; ms < 4 * HOUR_MS; ms += STEP_MS) keg.observe(ms, 2 + Math.sin(ms / 4e5));
    const told = keg.hoursUntil(4, 4 * HOUR_MS);
    expect(Math.abs((told?.hours ?? 0) - (hoursTo(usual, 4) - 4))).toBeLessThan(2);
    expect((told?.highHours ?? 0) - (told?.lowHours ?? 0)).toBeGreaterThan(10);
  });

  test('a large keg takes longer before anything is known', () => {
    const first = (litres: number) => {
      const keg = createCoolingEstimate(2, 18, litres, 'wall');
      keg.observe(0, 18);
      return keg.hoursUntil(4, 0)?.hours ?? 0;
    };
    expect(first(59)).toBeGreaterThan(1.4 * first(19));
  });

  test('a keg that got warm again begins anew', () => {
    const keg = cooled();
    watch(keg, usual, 8, 30);
    // Out of the fridge for a while: 12 °C at hour 34, then it cools as before.
    const again: Lump = { startC: 12, fridgeC: 2, tauH: 10 };
    for (let ms = 0; ms < 6 * HOUR_MS; ms += STEP_MS) keg.observe(34 * HOUR_MS + ms, beerAt(again, ms / HOUR_MS));
    const left = hoursTo(again, 4) - 6;
    expect(Math.abs((keg.hoursUntil(4, 40 * HOUR_MS)?.hours ?? 0) - left)).toBeLessThan(0.3 * left);
  });

  test('nonsense and readings out of order are passed over', () => {
    const keg = cooled();
    const before = keg.hoursUntil(4, 8 * HOUR_MS);
    for (const [atMs, beerC] of [
      [9 * HOUR_MS, 85],
      [9 * HOUR_MS, -127],
      [9 * HOUR_MS, Number.NaN],
      [Number.NaN, 5],
      [HOUR_MS, 17],
    ] as const) {
      keg.observe(atMs, beerC);
    }
    expect(keg.hoursUntil(4, 8 * HOUR_MS)).toEqual(before);
  });
});

describe('the keg’s own time constant', () => {
  test.each([7, 10, 18])('of %s h is found from a night of cooling, with its range', (tauH) => {
    const keg = watch(createCoolingEstimate(2, 18, 19, 'thermowell'), { startC: 18, fridgeC: 2, tauH }, 0, 12);
    const told = keg.timeConstant();
    expect(Math.abs((told?.hours ?? 0) - tauH)).toBeLessThan(0.1 * tauH);
    expect(told?.lowHours).toBeLessThan(told?.hours ?? 0);
    expect(told?.highHours).toBeGreaterThan(told?.hours ?? 0);
  });

  test('is not known before anything was measured', () => {
    expect(createCoolingEstimate(2, 18, 19, 'thermowell').timeConstant()).toBeNull();
  });
});

describe('a keg whose last batch was seen cooling', () => {
  const slow: Lump = { startC: 18, fridgeC: 2, tauH: 15 };
  const taught = () => watch(createCoolingEstimate(2, 18, 19, 'thermowell'), slow, 0, 24).taught();
  const told = (learnt: Belief | null, lump: Lump, hour: number) =>
    watch(createCoolingEstimate(2, 18, 19, 'thermowell', learnt), lump, 0, hour).hoursUntil(3.5, hour * HOUR_MS);

  test('teaches its constant', () => {
    const { mean, sd } = taught() ?? { mean: 0, sd: 9 };
    expect(Math.abs(mean - Math.log(15))).toBeLessThan(2 * sd);
    expect(sd).toBeLessThan(0.12);
  });

  test.each([
    ['an hour of it', 'thermowell', { ...slow, startC: 18 }, 1],
    ['beer that was put in cold', 'thermowell', { ...slow, startC: 4 }, 24],
    ['beer that gets warmer', 'thermowell', { startC: 3, fridgeC: 12, tauH: 10 }, 24],
    ['a thermometer in the air', 'air', slow, 24],
  ] as const)('%s teaches nothing', (_, place, lump, hours) => {
    const keg = createCoolingEstimate(lump.fridgeC, lump.startC, 19, place);
    expect(watch(keg, lump, 0, hours).taught()).toBeNull();
  });

  test('after an hour the time is told better and closer than without, and holds', () => {
    const left = hoursTo(slow, 3.5) - 1;
    const [without, known] = [told(null, slow, 1), told(taught(), slow, 1)];
    expect(Math.abs((known?.hours ?? 0) - left)).toBeLessThan(0.5 * Math.abs((without?.hours ?? 0) - left));
    expect(width(known)).toBeLessThan(width(without));
    expect(known?.lowHours).toBeLessThan(left);
    expect(known?.highHours).toBeGreaterThan(left);
  });

  test.each([5, 30])('in another fridge (%s h) it comes to what is so', (tauH) => {
    const lump = { ...slow, tauH };
    for (const hour of [8, 12]) {
      const left = hoursTo(lump, 3.5) - hour;
      const known = told(taught(), lump, hour);
      if (left <= 0) continue;
      expect(Math.abs((known?.hours ?? 0) - left), `hour ${hour}`).toBeLessThan(0.3 * left);
      expect(known?.lowHours).toBeLessThan(left);
      expect(known?.highHours).toBeGreaterThan(left);
    }
  });

  test('what is no belief is passed over', () => {
    expect(told({ mean: Number.NaN, sd: 0.1 }, slow, 2)).toEqual(told(null, slow, 2));
  });

  test('before anything is measured, it says what was learnt and doubts it a little', () => {
    const { hours, lowHours, highHours } = learntTimeConstant({ mean: Math.log(15), sd: 0.05 }, 19);
    // The median of four parts about 15 h and one part about 10 h lies a little below 15.
    expect(hours).toBeGreaterThan(13.5);
    expect(hours).toBeLessThan(15);
    expect(lowHours).toBeLessThan(15 * Math.exp(-1.645 * 0.16));
    expect(highHours).toBeGreaterThan(15 * Math.exp(1.2 * 0.16));
    expect(handedOn({ mean: 2, sd: 0 }).sd).toBeGreaterThan(0.1);
  });
});

const width = (told: HoursAhead | null) => (told === null ? Number.NaN : told.highHours - told.lowHours);
