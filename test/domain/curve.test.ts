import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type CurveInput, type CurveSeries, curveRows } from '../../src/domain/curve.ts';
import { equilibriumOrNull } from '../../src/domain/equilibrium.ts';
import { MINUTE, NOON } from '../support/builders.ts';

/** A series of one value a minute after noon; `_` is a minute without one. */
function series(values: string, holdMs = 3 * MINUTE): CurveSeries {
  const buckets = values.split(' ').flatMap((text, index) => {
    const mean = Number(text);
    const startMs = NOON + index * MINUTE;
    return text === '_' ? [] : [{ startMs, min: mean - 0.5, mean, max: mean + 0.5, count: 3 }];
  });
  return { buckets, holdMs };
}

const NONE: CurveSeries = { buckets: [], holdMs: 0 };

function rows(change: Partial<CurveInput>) {
  return curveRows({
    bucketMs: MINUTE,
    beerTemperature: NONE,
    headspacePressure: NONE,
    airTemperature: NONE,
    barometer: NONE,
    ambientKpaAbsolute: 101.325,
    headspaceIsAbsolute: false,
    co2Ratio: 1,
    ...change,
  });
}

const minutes = (found: ReturnType<typeof rows>) => found.map(({ atMs }) => (atMs - NOON) / MINUTE);

describe('rows of a curve', () => {
  test('join series by time, with their extremes', () => {
    const found = rows({ beerTemperature: series('4 5'), headspacePressure: series('70 71') });
    expect(found).toHaveLength(2);
    expect(found[1]).toEqual({
      atMs: NOON + MINUTE,
      beerTemperatureC: expect.objectContaining({ min: 4.5, mean: 5, max: 5.5 }),
      headspaceKpaGauge: { min: 70.5, mean: 71, max: 71.5 },
      airTemperatureC: null,
      equilibriumVolumes: equilibriumOrNull(5, 71, 101.325, 1),
    });
  });

  test('hold the last mean while a probe is usually silent, and no longer', () => {
    const found = rows({ beerTemperature: series('4 _ _ _ _ _ _'), headspacePressure: series('70 70 70 70 70 70 70') });
    expect(found.map(({ beerTemperatureC }) => beerTemperatureC?.mean ?? null)).toEqual([4, 4, 4, 4, null, null, null]);
    expect(found[1]?.beerTemperatureC).toEqual({ min: 4, mean: 4, max: 4 });
    expect(found.map(({ equilibriumVolumes }) => equilibriumVolumes === null)).toEqual([
      false,
      false,
      false,
      false,
      true,
      true,
      true,
    ]);
  });

  test('mark a gap that is longer than silence is usual by one row of nulls', () => {
    const found = rows({ beerTemperature: series('4 4 _ _ _ _ _ 5') });
    expect(minutes(found)).toEqual([0, 1, 2, 7]);
    expect(found[2]).toEqual({
      atMs: NOON + 2 * MINUTE,
      beerTemperatureC: null,
      headspaceKpaGauge: null,
      airTemperatureC: null,
      equilibriumVolumes: null,
    });
  });

  test('do not call a usual silence a gap', () => {
    expect(minutes(rows({ beerTemperature: series('4 _ _ 5') }))).toEqual([0, 3]);
    expect(minutes(rows({ beerTemperature: series('4 _ 5', 0) }))).toEqual([0, 1, 2]);
    expect(minutes(rows({ beerTemperature: series('4 5', 0) }))).toEqual([0, 1]);
  });

  test('follow beer and headspace; air alone draws nothing', () => {
    expect(rows({ airTemperature: series('3 3 3') })).toEqual([]);
    const found = rows({ airTemperature: series('3 _ _ 2'), beerTemperature: series('4 4') });
    expect(found.map(({ airTemperatureC }) => airTemperatureC?.mean)).toEqual([3, 3]);
  });

  test('take the air pressure of the moment, else the one of the altitude', () => {
    const found = rows({
      beerTemperature: series('4 4 4 4 4 4'),
      headspacePressure: series('70 70 70 70 70 70'),
      barometer: series('95', 2 * MINUTE),
    });
    const under = (ambient: number) => equilibriumOrNull(4, 70, ambient, 1);
    expect(found.map(({ equilibriumVolumes }) => equilibriumVolumes)).toEqual([
      under(95),
      under(95),
      under(95),
      under(101.325),
      under(101.325),
      under(101.325),
    ]);
  });

  test('bring an absolute sensor to gauge', () => {
    const found = rows({ headspacePressure: series('165'), barometer: series('95'), headspaceIsAbsolute: true });
    expect(found[0]?.headspaceKpaGauge).toEqual({ min: 69.5, mean: 70, max: 70.5 });
  });

  test('say nothing of the equilibrium in gas of unknown share', () => {
    const found = rows({ beerTemperature: series('4'), headspacePressure: series('70'), co2Ratio: null });
    expect(found[0]?.equilibriumVolumes).toBeNull();
  });
});

test('whatever is heard, times rise, extremes stay, and every heard bucket is there', () => {
  const someSeries = fc.uniqueArray(fc.integer({ min: 0, max: 60 }), { maxLength: 30 }).map((at) => {
    const buckets = at
      .sort((a, b) => a - b)
      .map((minute) => ({ startMs: minute * MINUTE, min: -minute, mean: 1, max: minute + 2, count: 1 }));
    return { buckets, holdMs: 2 * MINUTE };
  });
  fc.assert(
    fc.property(someSeries, someSeries, someSeries, (beerTemperature, headspacePressure, barometer) => {
      const found = rows({ beerTemperature, headspacePressure, barometer });
      const times = found.map(({ atMs }) => atMs);
      expect(times).toEqual([...new Set(times)].sort((a, b) => a - b));
      for (const bucket of beerTemperature.buckets) {
        const row = found.find(({ atMs }) => atMs === bucket.startMs);
        expect(row?.beerTemperatureC).toMatchObject({ min: bucket.min, max: bucket.max });
      }
      for (const [index, row] of found.entries()) {
        const previous = found[index - 1];
        const isGap = row.beerTemperatureC === null && row.headspaceKpaGauge === null;
        if (previous !== undefined && !isGap && row.atMs - previous.atMs > 2 * MINUTE) {
          expect(previous.beerTemperatureC).toBeNull();
          expect(previous.headspaceKpaGauge).toBeNull();
        }
      }
    }),
  );
});
