import { describe, expect, test } from 'vitest';
import { DAY, HOUR, iso, MINUTE, NOON } from '../support/builders.ts';
import { World } from '../support/world.ts';

/** A keg heard every minute for two hours from noon on. */
async function aWorld() {
  const world = await World.make();
  const batchId = world.fill();
  for (let minute = 0; minute < 120; minute += 1) {
    world.clock.advance(MINUTE);
    await world.beer(4 + minute / 100);
    await world.headspace(minute === 50 ? 95 : 70);
  }
  const curve = (points: number, fromMs = NOON, toMs = NOON + 2 * HOUR + MINUTE) =>
    world.services.curve.curve({ kegId: 'one', fromMs, toMs, points });
  return { world, batchId, curve };
}

describe('a curve', () => {
  test('has columns of equal length, and says what it is of', async () => {
    const { batchId, curve } = await aWorld();
    const { columns, ...about } = await curve(600);
    expect(about).toEqual({
      kegId: 'one',
      batchId,
      from: iso(NOON),
      to: iso(NOON + 2 * HOUR + MINUTE),
      bucketMs: MINUTE,
      // Without a batch; with a pressure too high; with one that is right.
      verdicts: ['unknown', 'act', 'unknown'].map((kind) => expect.objectContaining({ kind })),
      gaps: [],
    });
    const lengths = [
      columns.time,
      columns.equilibriumVolumes,
      columns.dissolvedVolumes,
      columns.dissolvedLow,
      columns.dissolvedHigh,
      ...[columns.beerTemperatureC, columns.headspaceKpaGauge, columns.airTemperatureC].flatMap(
        ({ min, mean, max }) => [min, mean, max],
      ),
    ].map(({ length }) => length);
    expect(new Set(lengths)).toEqual(new Set([120]));
    expect(columns.dissolvedVolumes.every((value) => value === null)).toBe(true);
    expect(columns.equilibriumVolumes[0]).toBeCloseTo(2.34, 2);
  });

  test('reduced to few points keeps a spike of a minute', async () => {
    const { curve } = await aWorld();
    const { bucketMs, columns } = await curve(12);
    expect(columns.time.length).toBeLessThanOrEqual(13);
    expect(bucketMs).toBe(15 * MINUTE);
    expect(Math.max(...columns.headspaceKpaGauge.max.map(Number))).toBe(95);
    expect(Math.min(...columns.headspaceKpaGauge.min.map(Number))).toBe(70);
  });

  test.each([
    [2, 2 * HOUR],
    [10_000, MINUTE],
  ])('of %d points has buckets of %d ms: round, and no finer than the probes speak', async (points, bucketMs) => {
    const { curve } = await aWorld();
    expect((await curve(points)).bucketMs).toBe(bucketMs);
  });

  test('over years has buckets of whole days', async () => {
    const { curve } = await aWorld();
    expect((await curve(10, NOON - 300 * DAY, NOON)).bucketMs % DAY).toBe(0);
  });
});

describe('what a curve shows', () => {
  test('a silence is a gap', async () => {
    const { world, curve } = await aWorld();
    world.clock.advance(HOUR);
    await world.beer(5);
    await world.headspace(70);
    const { columns } = await curve(600, NOON, NOON + 4 * HOUR);
    expect(columns.time.slice(-3)).toEqual([iso(NOON + 2 * HOUR), iso(NOON + 2 * HOUR + MINUTE), iso(NOON + 3 * HOUR)]);
    expect(columns.beerTemperatureC.mean.slice(-3)).toEqual([expect.any(Number), null, 5]);
  });

  test('values are calibrated as of each moment', async () => {
    const { world, curve } = await aWorld();
    world.services.probeChanges.put('one.beer-temperature', {
      topic: 'probes/one/beer-temperature',
      pointer: null,
      unit: null,
      quantity: 'beer-temperature',
      of: 'one',
      reference: null,
      place: null,
      timeUnit: null,
      availability: null,
      calibration: [{ from: iso(NOON + HOUR), offset: 10, gain: 1 }],
    });
    const { columns } = await curve(600);
    expect(columns.beerTemperatureC.mean[0]).toBe(4);
    expect(columns.beerTemperatureC.mean.at(-1)).toBeCloseTo(15.19, 9);
  });

  test('a keg of which nothing was heard has an empty one', async () => {
    const { world } = await aWorld();
    const curve = await world.services.curve.curve({ kegId: 'two', fromMs: NOON, toMs: NOON + HOUR, points: 100 });
    expect(curve.columns.time).toEqual([]);
    expect(curve.batchId).toBeNull();
  });

  test('mixed gas of unknown share has no equilibrium', async () => {
    const { world, curve } = await aWorld();
    world.services.placeChanges.putSupply('gas', { co2Ratio: null });
    expect((await curve(600)).columns.equilibriumVolumes.every((value) => value === null)).toBe(true);
  });

  test('the place’s air is drawn, and the site’s barometer counts', async () => {
    const { world, curve } = await aWorld();
    await world.hear('probes/place/fridge/air-temperature', 3);
    await world.hear('probes/site/ambient-pressure', 90);
    const { columns } = await curve(600);
    expect(columns.airTemperatureC.mean.at(-1)).toBe(3);
    const [before, last] = columns.equilibriumVolumes.slice(-2);
    expect(Number(last)).toBeLessThan(Number(before) - 0.1);
  });
});
