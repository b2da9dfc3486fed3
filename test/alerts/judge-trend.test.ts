import { describe, expect, test } from 'vitest';
import { implausible } from '../../src/alerts/judge-probe.ts';
import {
  judgeCreeping,
  judgeCylinderLoss,
  judgePlaceTrend,
  judgeRegulatorLow,
  type PlaceTrend,
  placeChangedAtMs,
  type RegulatedPressure,
  TREND_WIDTH_MS,
} from '../../src/alerts/judge-trend.ts';
import { usualRule } from '../../src/alerts/rules.ts';
import { addToTrend, between, medianOf, stuckSinceMs, type Trend, timeMean } from '../../src/alerts/trend.ts';
import type { ReadingBucket } from '../../src/domain/reading.ts';
import { anEvent, aProbe, aSite, DAY, HOUR, MINUTE, NOON } from '../support/builders.ts';

const UNITS = aSite().units;

/** A trend up to noon, by the hours before it. */
function trendOf(hours: number, valueAt: (hoursBefore: number) => number | null): Trend {
  const spans: ReadingBucket[] = [];
  for (let startMs = NOON - hours * HOUR; startMs <= NOON; startMs += TREND_WIDTH_MS) {
    const value = valueAt((NOON - startMs) / HOUR);
    if (value !== null) spans.push({ startMs, min: value, mean: value, max: value, count: 1 });
  }
  return spans;
}

describe('a trend', () => {
  const width = { widthMs: 10 * MINUTE, keepMs: HOUR };
  test('sums values up by spans, late ones too, and forgets what is old', () => {
    const trend: ReadingBucket[] = [];
    for (const [minute, value] of [
      [0, 4],
      [5, 6],
      [30, 1],
      [12, 9],
      [14, 7],
    ] as const) {
      addToTrend(trend, minute * MINUTE, value, width);
    }
    expect(trend.map(({ startMs, mean, count }) => [startMs / MINUTE, mean, count])).toEqual([
      [0, 5, 2],
      [10, 8, 2],
      [30, 1, 1],
    ]);
    addToTrend(trend, 80 * MINUTE, 3, width);
    addToTrend(trend, 5 * MINUTE, 99, width);
    expect(trend.map(({ startMs }) => startMs / MINUTE)).toEqual([30, 80]);
  });

  test('has a mean over time, if enough of it was heard', () => {
    const trend = [0, 10, 20].map((minute, index) => {
      const value = (index + 1) * 100;
      return { startMs: minute * MINUTE, min: value, mean: value, max: value, count: 1 };
    });
    const mean = (fromMin: number, toMin: number, heardMin: number) =>
      timeMean(trend, fromMin * MINUTE, toMin * MINUTE, { holdMs: 10 * MINUTE, heardMs: heardMin * MINUTE });
    expect(mean(0, 30, 30)).toBe(200);
    expect(mean(5, 15, 10)).toBe(150);
    expect(mean(0, 60, 30)).toBe(200);
    expect(mean(0, 60, 31)).toBeNull();
    expect(timeMean([], 0, HOUR, { holdMs: HOUR, heardMs: 0 })).toBeNull();
  });

  test('knows its middle, its parts, and since when it has stood still', () => {
    const trend = trendOf(2, (before) => (before > 1 ? before : 7));
    expect(medianOf(between(trend, NOON - HOUR, NOON + 1))).toBe(7);
    expect(medianOf([])).toBeNull();
    expect(stuckSinceMs(trend)).toBe(NOON - HOUR);
    expect(stuckSinceMs([])).toBeNull();
  });
});

describe('a warm fridge', () => {
  const place = (change: Partial<PlaceTrend>): PlaceTrend => ({
    placeId: 'fridge',
    name: 'Garage fridge',
    atMs: NOON,
    air: trendOf(6, () => 2),
    setC: 2,
    changedAtMs: null,
    beers: [],
    units: UNITS,
    ...change,
  });
  const finding = (change: Partial<PlaceTrend>) => judgePlaceTrend(usualRule, place(change)).finding;

  test('is one whose air is far above what was set, and does not fall', () => {
    expect(finding({})).toBe('over');
    expect(finding({ air: trendOf(6, (before) => (before <= 1 ? 6.5 : 2)) })).toBe('holds');
    expect(finding({ air: trendOf(6, (before) => (before <= 1 ? 4 : 2)) })).toBe('between');
    expect(finding({ air: trendOf(6, (before) => 7 + before) })).toBe('between');
    expect(finding({ air: trendOf(1, () => 7) })).toBe('holds');
  });

  test('may be warmer for a day after warm beer was put in', () => {
    const air = trendOf(6, (before) => (before <= 1 ? 6.5 : 2));
    expect(finding({ air, changedAtMs: NOON - HOUR })).toBe('between');
    expect(finding({ air, changedAtMs: NOON - DAY })).toBe('holds');
    const filled = anEvent(NOON - HOUR, { kind: 'keg-moved' });
    expect(placeChangedAtMs([filled, anEvent(NOON, { kind: 'line-cleaned' })], NOON)).toBe(NOON - HOUR);
    expect(placeChangedAtMs([filled], NOON - DAY)).toBeNull();
  });

  test('is measured by what it usually holds where nothing was set', () => {
    expect(finding({ setC: null, air: trendOf(72, (before) => (before <= 1 ? 9 : 4)) })).toBe('holds');
    expect(finding({ setC: null, air: trendOf(12, () => 9) })).toBe('unknown');
  });

  test('is seen by its beer where the air has no probe', () => {
    const beers = (rise: number, filledAtMs = NOON - 9 * DAY) => [
      { name: 'Harvest Amber', trend: trendOf(30, (before) => (before <= 2 ? 4 + rise : 4)), filledAtMs },
      { name: 'Plum Lane', trend: trendOf(30, () => 4), filledAtMs },
      { name: 'Button Tin', trend: trendOf(1, () => 4), filledAtMs },
    ];
    expect(finding({ air: null, beers: beers(2.1) })).toBe('holds');
    expect(finding({ air: null, beers: beers(1.5) })).toBe('between');
    expect(finding({ air: null, beers: beers(0.5) })).toBe('over');
    expect(finding({ air: null, beers: beers(5, NOON - DAY) })).toBe('unknown');
    const fahrenheit = place({ air: null, beers: beers(2.1), units: { ...UNITS, temperature: '[degF]' } });
    expect(judgePlaceTrend(usualRule, fahrenheit).words.message).toBe(
      'Garage fridge is warm. Harvest Amber rose by 3.8\u00a0°F in a day.',
    );
    expect(judgePlaceTrend(usualRule, place({ air: null, beers: beers(2.1) })).words.message).toMatch(/2\.1\u00a0K/);
  });
});

describe('a regulator', () => {
  const regulated = (change: Partial<RegulatedPressure>): RegulatedPressure => ({
    target: 'one',
    kegId: 'one',
    supplyId: 'gas',
    placeId: 'fridge',
    name: 'Harvest Amber',
    atMs: NOON,
    pressure: trendOf(7 * 24, () => 60),
    beer: trendOf(7 * 24, () => 3),
    events: [anEvent(NOON - 20 * DAY, { kind: 'gas-opened' })],
    isOn: true,
    settingKpaGauge: 60,
    units: UNITS,
    ...change,
  });
  const creeping = (change: Partial<RegulatedPressure>) => judgeCreeping(usualRule, regulated(change));
  const rising = trendOf(7 * 24, (before) => 60 + Math.max(0, 48 - before) / 4);

  test('creeps when its pressure rises above what it held before', () => {
    expect(creeping({}).finding).toBe('over');
    expect(creeping({ pressure: rising })).toMatchObject({ finding: 'holds', scope: { key: 'supply/gas' } });
    expect(creeping({ pressure: trendOf(7 * 24, (before) => (before < 12 ? 68 : 60)) }).finding).toBe('between');
  });

  test('does not creep while the gas is closed, the beer got warm, or it was moved by somebody', () => {
    expect(creeping({ pressure: rising, isOn: false }).finding).toBe('between');
    expect(creeping({ pressure: rising, beer: trendOf(7 * 24, (before) => (before < 24 ? 6 : 3)) }).finding).toBe(
      'between',
    );
    expect(creeping({ pressure: rising, beer: [] }).finding).toBe('holds');
    expect(creeping({ pressure: rising, beer: null }).finding).toBe('holds');
    const set = [anEvent(NOON - DAY, { kind: 'regulator-set', kpaGauge: 70 })];
    expect(creeping({ pressure: rising, events: set }).finding).toBe('over');
    expect(creeping({ pressure: [] }).finding).toBe('unknown');
  });

  test('creeps by its own probe also when that is far above the setting', () => {
    const own = { target: 'gas', kegId: null, placeId: null, beer: null, pressure: trendOf(20, () => 76) } as const;
    expect(creeping({ ...own, events: [] })).toMatchObject({ finding: 'holds', under: [] });
    expect(creeping({ ...own, events: [], settingKpaGauge: 62 }).finding).toBe('between');
    const justSet = [anEvent(NOON - HOUR, { kind: 'regulator-set', kpaGauge: 60 })];
    expect(creeping({ ...own, events: justSet }).finding).toBe('between');
  });

  test('gives too little when its probe is far below the setting', () => {
    const low = (kpa: number, change: Partial<RegulatedPressure> = {}) =>
      judgeRegulatorLow(usualRule, regulated({ target: 'gas', pressure: trendOf(2, () => kpa), ...change })).finding;
    expect([low(40), low(45), low(55), low(10, { settingKpaGauge: null }), low(40, { pressure: [] })]).toEqual([
      'holds',
      'between',
      'over',
      'over',
      'unknown',
    ]);
  });
});

describe('a cylinder that loses gas', () => {
  const loss = (kgPerDay: number, events: Parameters<typeof judgeCylinderLoss>[1]['events'] = []) =>
    judgeCylinderLoss(usualRule, {
      supplyId: 'gas',
      name: 'Shared cylinder',
      atMs: NOON,
      mass: trendOf(30, (before) => 4 + (kgPerDay * before) / 24),
      events,
    });

  test('leaks when it is more than beer takes up', () => {
    expect([loss(0.3), loss(0.2), loss(0.1)].map(({ finding }) => finding)).toEqual(['holds', 'between', 'over']);
    expect(loss(0.5).words.message).toMatch(/lost 0\.\d\d\u00a0kg in a day/);
  });

  test('says nothing where gas was used for good reason, or nothing is known', () => {
    expect(loss(2, [anEvent(NOON - HOUR, { kind: 'headspace-purged', times: 5 })]).finding).toBe('between');
    const mass = trendOf(3, () => 4);
    const short = { supplyId: 'gas', name: 'x', atMs: NOON, mass, events: [] };
    expect(judgeCylinderLoss(usualRule, short).finding).toBe('between');
    expect(judgeCylinderLoss(usualRule, { ...short, mass: [] }).finding).toBe('unknown');
  });
});

describe('an implausible probe', () => {
  const say = (quantity: Parameters<typeof aProbe>[0], trend: Trend, refused = 0, witnesses: readonly Trend[] = []) =>
    implausible(usualRule, { probe: aProbe(quantity), where: 'Harvest Amber', trend, witnesses, refused, atMs: NOON });
  /** Least and greatest value by the hours before noon, then one value for the last hours. */
  const past = (hours: number, still: number, at: (hoursBefore: number) => readonly [number, number]): Trend =>
    trendOf(hours, (before) => before).map(({ startMs, mean: before }) => {
      const [a, b] = before > still ? at(before) : at(still);
      const [min, max] = before > still ? [Math.min(a, b), Math.max(a, b)] : [a, a];
      return { startMs, min, max, mean: (min + max) / 2, count: 15 };
    });
  /** A sensor of a sixteenth of a degree whose last digit trembles, in a fridge that wanders by a degree in a day. */
  const trembling = (before: number): readonly [number, number] => {
    const value = Math.round((4 + 0.5 * Math.sin(before / 4)) * 16) / 16;
    return [value, value + (before % 0.5 === 0 ? 0.0625 : 0)];
  };
  const halves = (celsius: number) => Math.round(celsius * 2) / 2;

  test('says what cannot be true, several times', () => {
    expect(say('cylinder-mass', [], 4).finding).toBe('over');
    expect(say('cylinder-mass', [], 5)).toMatchObject({ finding: 'holds', kegId: null });
    expect(say('beer-temperature', [], 5).kegId).toBe('one');
  });

  test('or stands still for days though it always trembled', () => {
    const stood = (hours: number, quantity: Parameters<typeof aProbe>[0] = 'beer-temperature') =>
      say(quantity, past(190, hours, trembling)).finding;
    expect(stood(47)).toBe('over');
    expect(stood(49)).toBe('holds');
    expect(stood(49, 'headspace-pressure')).toBe('over');
    expect(stood(97, 'headspace-pressure')).toBe('holds');
    expect(stood(97, 'cylinder-mass')).toBe('over');
    expect(say('headspace-pressure', past(190, 97, trembling)).words.message).toMatch(/has not moved for 4 days/);
  });

  test.each<[string, (hoursBefore: number) => readonly [number, number]]>([
    ['in a steady fridge', () => [4, 4]],
    ['while it cooled', (before) => [halves(4 + (before - 72) / 6), halves(4 + (before - 72.25) / 6)]],
    ['while it trembled between two of its steps', (before) => (Math.sin(before * 9) > 0 ? [4, 4.5] : [4, 4])],
    ['at another value', (before) => (before > 72 ? [5, 5] : [4, 4])],
    ['now and then', (before) => (before % 5 < 0.25 ? [4, 4.5] : [4.5, 4.5])],
  ])('but not one that steps by half a degree, %s before', (_when, at) => {
    expect(say('beer-temperature', past(190, 72, at)).finding).not.toBe('holds');
  });

  test('and of one that never moved nobody can tell, unless the air beside it moved for hours', () => {
    const still = past(60, 60, trembling);
    expect(say('beer-temperature', still).finding).toBe('between');
    expect(say('beer-temperature', still, 0, [trendOf(60, (before) => 2 + before / 18)]).finding).toBe('holds');
    // A compressor that comes and goes, a door, and a silent thermometer are no witnesses.
    const cycling = trendOf(60, (before) => 3 + 2.5 * Math.sin(before * 6));
    const door = trendOf(60, (before) => (before > 20 && before < 21 ? 14 : 3));
    expect(say('beer-temperature', still, 0, [cycling, door, []]).finding).toBe('between');
    expect(say('headspace-pressure', past(120, 120, trembling), 0, [trendOf(120, (b) => b)]).finding).toBe('between');
  });
});
