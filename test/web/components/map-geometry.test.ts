import { describe, expect, test } from 'vitest';
import {
  closedIntervals,
  contour,
  contourLevels,
  fillRegion,
  freezingC,
  type MapFacts,
  mapExtent,
  pressureFor,
  SERVING_KPA,
  settingFor,
  trailAt,
  trailPieces,
  volumesAt,
} from '../../../web/components/carbonation-map/geometry.ts';

const SEA = { ambientKpaAbsolute: 101.325, co2Ratio: 1 };
const FACTS: MapFacts = {
  ...SEA,
  target: { volumes: 2.45, low: 2.3, high: 2.6, celsius: 2 },
  advisedKpaGauge: 66,
  abvPercent: 5,
  now: { celsius: 1.5, kpaGauge: 90 },
  trail: [],
};
const IN_VOLUMES = { step: 0.1, perVolume: 1 };
const HOUR_MS = 3_600_000;

/** The trade's classic carbonation chart (BrewingTechniques 2.1, "Table I"), row 38 °F: 10 psi 2.38, 12 psi 2.57. */
test.each([
  [2.38, 68.95],
  [2.57, 82.74],
])('%d volumes at 38 °F need about %d kPa at sea level', (volumes, charted) => {
  expect(Math.abs(pressureFor(volumes, (38 - 32) / 1.8, SEA) - charted)).toBeLessThan(3.5);
});

test('what a point ends in is the inverse of the pressure for it, at any altitude and in mixed gas', () => {
  for (const air of [SEA, { ambientKpaAbsolute: 84.5, co2Ratio: 1 }, { ambientKpaAbsolute: 98, co2Ratio: 0.7 }]) {
    const kpaGauge = pressureFor(2.4, 3, air);
    expect(volumesAt({ celsius: 3, kpaGauge }, air)).toBeCloseTo(2.4, 9);
  }
});

test('higher up the same beer needs more gauge pressure, by just the air that is missing', () => {
  const high = pressureFor(2.4, 2, { ambientKpaAbsolute: 84.5, co2Ratio: 1 });
  expect(high - pressureFor(2.4, 2, SEA)).toBeCloseTo(101.325 - 84.5, 9);
});

test('outside what the fit knows there is no answer instead of a wrong one', () => {
  expect(volumesAt({ celsius: -5, kpaGauge: 60 }, SEA)).toBeNull();
  expect(volumesAt({ celsius: 2, kpaGauge: -150 }, SEA)).toBeNull();
});

describe('the place to fill from', () => {
  test('lies inside all four limits', () => {
    const region = fillRegion(FACTS);
    expect(region.length).toBeGreaterThan(10);
    for (const point of region) {
      const volumes = volumesAt(point, FACTS) ?? 0;
      expect(volumes).toBeGreaterThanOrEqual(FACTS.target.low - 1e-9);
      expect(volumes).toBeLessThanOrEqual(FACTS.target.high + 1e-9);
      expect(point.celsius).toBeGreaterThanOrEqual(freezingC(5) + 1 - 1e-9);
      expect(point.celsius).toBeLessThanOrEqual(2);
      expect(point.kpaGauge).toBeGreaterThanOrEqual(SERVING_KPA.low);
      expect(point.kpaGauge).toBeLessThanOrEqual(SERVING_KPA.high);
    }
  });

  test('is empty where no setting does it all', () => {
    expect(fillRegion({ ...FACTS, target: { volumes: 4, low: 3.9, high: 4.1, celsius: 2 } })).toEqual([]);
    expect(fillRegion({ ...FACTS, target: { ...FACTS.target, celsius: -2 } })).toEqual([]);
  });

  test('reaches less far into the cold when no alcohol was entered', () => {
    const coldest = (abvPercent: number | null): number =>
      Math.min(...fillRegion({ ...FACTS, abvPercent }).map((point) => point.celsius));
    expect(coldest(null)).toBeGreaterThan(coldest(7));
    expect(coldest(null)).toBe(coldest(3.5));
  });
});

describe('the setting', () => {
  test('stands at the present temperature, or at the fill temperature while the beer is warmer', () => {
    expect(settingFor(FACTS)).toEqual({ celsius: 1.5, kpaGauge: 66, whenCold: false });
    const warm = { ...FACTS, now: { celsius: 15, kpaGauge: 10 } };
    expect(settingFor(warm)).toEqual({ celsius: 2, kpaGauge: 66, whenCold: true });
  });

  test('is silent when the keg stands right, when it is as good as set, and when nothing is advised or heard', () => {
    const kpaGauge = pressureFor(2.45, 1.5, FACTS);
    expect(settingFor({ ...FACTS, now: { celsius: 1.5, kpaGauge } })).toBeNull();
    expect(settingFor({ ...FACTS, advisedKpaGauge: 88 })).toBeNull();
    expect(settingFor({ ...FACTS, advisedKpaGauge: null })).toBeNull();
    expect(settingFor({ ...FACTS, now: null })).toBeNull();
  });

  test('is shown for beer inside its window that is below serving pressure', () => {
    const facts = { ...FACTS, target: { volumes: 2, low: 1.8, high: 2.4, celsius: 2 } };
    expect(settingFor({ ...facts, now: { celsius: 1.5, kpaGauge: 45 } })).not.toBeNull();
  });
});

test('the extent holds freezing edge, region, present and setting, and does not chase a far trail', () => {
  const trail = [{ atMs: 0, celsius: 30, kpaGauge: 0 }];
  const extent = mapExtent({ ...FACTS, trail });
  expect(extent.coldC).toBeLessThan(freezingC(5));
  expect(extent.highKpa).toBeGreaterThan(90);
  expect(extent.warmC).toBeGreaterThan(2);
  expect(extent.warmC).toBeLessThan(10);
  expect(mapExtent({ ...FACTS, now: { celsius: 25, kpaGauge: 5 } }).warmC).toBeGreaterThan(25);
});

test('lines of equal carbonation rise with temperature and never cross', () => {
  const extent = mapExtent(FACTS);
  const levels = contourLevels(extent, FACTS, IN_VOLUMES).map((level) => level.volumes);
  expect(levels).toContain(2.5);
  let below = contour(levels[0] ?? 1, extent, FACTS);
  for (const level of levels.slice(1)) {
    const line = contour(level, extent, FACTS);
    line.forEach((point, index) => {
      expect(point.kpaGauge).toBeGreaterThan(below[index]?.kpaGauge ?? Number.NaN);
      if (index > 0) expect(point.kpaGauge).toBeGreaterThan(line[index - 1]?.kpaGauge ?? Number.NaN);
    });
    below = line;
  }
});

test('lines stand at round numbers of the reader’s unit', () => {
  // 1 volume = 1.977 g/L (density of CO2 at 0 °C and 101.325 kPa as a real gas).
  const levels = contourLevels(mapExtent(FACTS), FACTS, { step: 0.2, perVolume: 1.977 });
  const four = levels.find((level) => Math.abs(level.shown - 4) < 1e-9);
  expect(four?.volumes).toBeCloseTo(4 / 1.977, 9);
  expect(four?.steps).toBe(20);
  for (const level of levels) expect(level.shown * 5).toBeCloseTo(Math.round(level.shown * 5), 9);
});

test('where the extent is wide only every fifth line is drawn', () => {
  const wide = { coldC: -2, warmC: 20, lowKpa: 0, highKpa: 400 };
  for (const level of contourLevels(wide, FACTS, IN_VOLUMES)) expect(level.steps % 5).toBe(0);
});

describe('the trail', () => {
  const at = (hour: number): string => new Date(hour * HOUR_MS).toISOString();

  test('gas is closed from a closing or a gas check until it is opened', () => {
    const events = [
      { kind: 'gas-opened', at: at(5) },
      { kind: 'gas-closed', at: at(2) },
      { kind: 'gas-check-started', at: at(3) },
      { kind: 'gas-closed', at: at(8) },
    ];
    expect(closedIntervals(events, 9 * HOUR_MS)).toEqual([
      { fromMs: 2 * HOUR_MS, toMs: 5 * HOUR_MS },
      { fromMs: 8 * HOUR_MS, toMs: 9 * HOUR_MS },
    ]);
  });

  test('breaks at gaps, and pieces of open and closed gas share their joint', () => {
    const point = (atMs: number, celsius: number | null) => ({ atMs, celsius, kpaGauge: 60 });
    const trail = [point(0, 1), point(1, 2), point(2, 3), point(3, null), point(4, 5)];
    const pieces = trailPieces(trail, [{ fromMs: 2, toMs: 3 }]);
    expect(pieces.map((piece) => [piece.closed, piece.points.map((one) => one.celsius)])).toEqual([
      [false, [1, 2, 3]],
      [true, [3]],
      [false, [5]],
    ]);
  });

  test('a ring needs something heard near its midnight', () => {
    const trail = [{ atMs: 0, celsius: 1, kpaGauge: 60 }];
    expect(trailAt(trail, 20 * 60_000)).toEqual({ celsius: 1, kpaGauge: 60 });
    expect(trailAt(trail, 40 * 60_000)).toBeNull();
    expect(trailAt([], 0)).toBeNull();
  });
});
