import { describe, expect, test } from 'vitest';
import { judgeKegReading, judgeRoomCo2, judgeSupplyReading, type RoomCo2 } from '../../src/alerts/judge-reading.ts';
import { isFillingAt, type KegContext } from '../../src/alerts/keg-view.ts';
import type { RuleName } from '../../src/alerts/rule.ts';
import { RULES, usualRule } from '../../src/alerts/rules.ts';
import { CO2_EXPOSURE_LIMITS } from '../../src/physics/limits.ts';
import { anEvent, aSite, HOUR, NOON } from '../support/builders.ts';

const UNITS = aSite().units;

function aContext(change: Partial<KegContext> = {}): KegContext {
  return {
    kegId: 'one',
    name: 'Harvest Amber',
    placeId: 'fridge',
    isFilled: true,
    targetC: 2,
    freezesAtC: -1.9,
    workingKpaGaugeMax: 800,
    isFilling: false,
    units: UNITS,
    ...change,
  };
}

const beer = (rule: RuleName, value: number, change: Partial<KegContext> = {}) => {
  const heard = { quantity: 'beer-temperature', value, atMs: NOON } as const;
  return judgeKegReading(usualRule, heard, aContext(change)).find((one) => one.rule === rule);
};

describe('beer that gets cold or warm', () => {
  test.each([
    [2.2, 'holds'],
    [2.3, 'between'],
    [2.51, 'over'],
  ])('at %d is cold enough: %s', (value, finding) => {
    expect(beer('cold-enough', value)).toMatchObject({ finding, target: 'one', kegId: 'one' });
  });

  test.each([
    [2.51, true, 'holds'],
    [2.4, true, 'between'],
    [2.2, true, 'over'],
    [9, false, 'over'],
  ])('at %d while filling (%s) is no longer cold: %s', (value, isFilling, finding) => {
    expect(beer('no-longer-cold', value, { isFilling })?.finding).toBe(finding);
  });

  test('the end of a fill is the end of its warmth, and said so', () => {
    expect(beer('no-longer-cold', 9)?.endWords.message).toBe('The fill of Harvest Amber is over.');
    expect(beer('no-longer-cold', 2, { isFilling: true })?.endWords.message).toMatch(/is cold again/);
  });

  test.each([
    [-0.9, true, 'holds'],
    [-0.7, true, 'between'],
    [-0.5, true, 'over'],
    [-5, false, 'over'],
  ])('at %d in a keg that is filled (%s) is near freezing: %s', (value, isFilled, finding) => {
    expect(beer('near-freezing', value, { isFilled })?.finding).toBe(finding);
  });
});

describe('a keg over its working pressure', () => {
  const at = (value: number, change: Partial<KegContext> = {}) =>
    judgeKegReading(usualRule, { quantity: 'headspace-pressure', value, atMs: NOON }, aContext(change));

  test.each([
    [800, 'holds'],
    [790, 'between'],
    [759, 'over'],
  ])('%d kPa: %s', (value, finding) => {
    expect(at(value)[0]).toMatchObject({ rule: 'over-working-pressure', finding });
  });

  test('is not judged where nobody entered what it may bear, nor by other quantities', () => {
    expect(at(5000, { workingKpaGaugeMax: null })).toEqual([]);
    expect(judgeKegReading(usualRule, { quantity: 'keg-mass', value: 20, atMs: NOON }, aContext())).toEqual([]);
  });
});

describe('a cylinder', () => {
  const supply = (
    quantity: 'cylinder-mass' | 'cylinder-pressure' | 'regulator-pressure',
    value: number,
    hasScale = false,
  ) =>
    judgeSupplyReading(
      usualRule,
      { quantity, value, atMs: NOON },
      { supplyId: 'gas', name: 'Shared cylinder', units: UNITS, hasScale },
    );

  test.each([
    ['cylinder-mass', 0.3, 'holds'],
    ['cylinder-mass', 0.4, 'between'],
    ['cylinder-mass', 0.6, 'over'],
    ['cylinder-pressure', 2400, 'holds'],
    ['cylinder-pressure', 2700, 'between'],
    ['cylinder-pressure', 5000, 'over'],
  ] as const)('%s %d: low %s', (quantity, value, finding) => {
    expect(supply(quantity, value)[0]).toMatchObject({ rule: 'cylinder-low', target: 'gas', kegId: null, finding });
  });

  test('is judged by its scale alone where it has one', () => {
    expect(supply('cylinder-pressure', 100, true)).toEqual([]);
    expect(supply('cylinder-mass', 0.1, true)).toHaveLength(1);
    expect(supply('regulator-pressure', 1)).toEqual([]);
  });
});

describe('CO2 in a room', () => {
  const room = (change: Partial<RoomCo2>): RoomCo2 => ({
    placeId: 'fridge',
    name: 'Garage fridge',
    atMs: NOON,
    ppm: 600,
    mean15minPpm: 600,
    mean8hPpm: 600,
    ...change,
  });
  const say = (rule: RuleName, change: Partial<RoomCo2>) =>
    judgeRoomCo2(usualRule, room(change)).find((one) => one.rule === rule);

  test.each([
    ['room-co2-danger', { ppm: 30_000 }, 'holds'],
    ['room-co2-danger', { ppm: 20_000 }, 'between'],
    ['room-co2-danger', { ppm: 9000 }, 'over'],
    ['room-co2-short', { mean15minPpm: 15_000 }, 'holds'],
    ['room-co2-short', { mean15minPpm: null }, 'unknown'],
    ['room-co2-long', { mean8hPpm: 5000 }, 'holds'],
    ['room-co2-long', { mean8hPpm: 3000 }, 'over'],
  ] as const)('%s with %o: %s', (rule, change, finding) => {
    expect(say(rule, change)?.finding).toBe(finding);
  });

  test('is limited as the bodies named in the physics have it', () => {
    const ppm = (averaging: RegExp) =>
      CO2_EXPOSURE_LIMITS.filter((limit) => averaging.test(limit.averaging)).map((limit) => limit.ppm);
    expect(ppm(/8 h/)).toContain(RULES['room-co2-long'].limits.ppm?.usual);
    expect(ppm(/15 min/)).toEqual(
      expect.arrayContaining([RULES['room-co2-short'].limits.ppm?.usual, RULES['room-co2-danger'].limits.ppm?.usual]),
    );
  });

  test('says that it is no safety device, and explains the lesser by the greater', () => {
    for (const { words, rule } of judgeRoomCo2(usualRule, room({ ppm: 31_234 }))) {
      expect(words.advice).toMatch(/certified/);
      expect(RULES[rule].action).toMatch(/no safety device.*certified.*codes/);
    }
    expect(say('room-co2-danger', { ppm: 31_234 })?.words.message).toMatch(/31,234 ppm, limit 30,000/);
    expect(say('room-co2-long', {})?.under?.map(({ rule }) => rule)).toEqual(['room-co2-danger', 'room-co2-short']);
  });
});

test('every message with its advice fits 178 characters, in all units', () => {
  const name = 'Old Button Tin Export Porter';
  for (const units of [UNITS, { temperature: '[degF]', pressure: '[psi]', carbonation: 'g/L' } as const]) {
    const samples = [
      ...judgeKegReading(
        usualRule,
        { quantity: 'beer-temperature', value: -1.2, atMs: NOON },
        aContext({ name, units, isFilling: true }),
      ),
      ...judgeKegReading(
        usualRule,
        { quantity: 'headspace-pressure', value: 850, atMs: NOON },
        aContext({ name, units }),
      ),
      ...judgeSupplyReading(
        usualRule,
        { quantity: 'cylinder-pressure', value: 2000, atMs: NOON },
        { supplyId: 'g', name, units, hasScale: false },
      ),
      ...judgeRoomCo2(usualRule, {
        placeId: 'p',
        name,
        atMs: NOON,
        ppm: 31_000,
        mean15minPpm: 16_000,
        mean8hPpm: 5100,
      }),
    ];
    for (const { rule, words } of samples) {
      const text = `${words.message} ${words.advice}`;
      expect({ rule, fits: text.length <= 178, text }).toEqual({ rule, fits: true, text });
    }
  }
});

describe('a fill', () => {
  test('goes on until it is ended, the keg is emptied, or a working day has passed', () => {
    const started = anEvent(NOON, { kind: 'fill-started' });
    const ended = anEvent(NOON + HOUR, { kind: 'fill-ended' });
    expect(isFillingAt([], NOON)).toBe(false);
    expect(isFillingAt([started, ended], NOON - 1)).toBe(false);
    expect(isFillingAt([started, ended], NOON)).toBe(true);
    expect(isFillingAt([started, ended], NOON + HOUR)).toBe(false);
    expect(isFillingAt([started], NOON + 8 * HOUR)).toBe(true);
    expect(isFillingAt([started], NOON + 8 * HOUR + 1)).toBe(false);
  });
});
