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
      doubted: [],
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

/** A keg heard every minute for an hour from noon on, at 4 °C, but for the minutes that are named. */
async function aHourWith(said: Readonly<Record<number, number>>, minutes = 60) {
  const world = await World.make();
  for (let minute = 0; minute < minutes; minute += 1) {
    world.clock.advance(MINUTE);
    await world.beer(said[minute] ?? 4);
    await world.headspace(minute === 20 ? 300 : 70);
  }
  const curve = (points: number, toMs = NOON + 61 * MINUTE) =>
    world.services.curve.curve({ kegId: 'one', fromMs: NOON, toMs, points });
  return { world, curve };
}

const greatest = (column: readonly (number | null)[]) => Math.max(...column.map((value) => value ?? -999));
const least = (column: readonly (number | null)[]) => Math.min(...column.map((value) => value ?? 999));

describe('a value that cannot be true', () => {
  const WILD = { 29: 62, 40: -15 };
  const told = [
    { quantity: 'beer-temperature', at: iso(NOON + 30 * MINUTE), value: 62 },
    { quantity: 'beer-temperature', at: iso(NOON + 41 * MINUTE), value: -15 },
  ];

  test.each([600, 20, 4, 1])('widens no bucket of a curve of %d points, and is told beside it', async (points) => {
    const { columns, doubted, gaps } = await (await aHourWith(WILD)).curve(points);
    const { min, mean, max } = columns.beerTemperatureC;
    expect([least(min), least(mean), greatest(mean), greatest(max)]).toEqual([4, 4, 4, 4]);
    expect(doubted).toEqual(told);
    expect(gaps).toEqual([]);
    // What a valve can do at once stands.
    expect(greatest(columns.headspaceKpaGauge.max)).toBe(300);
  });

  test('at the edge of a curve is none the less known by what came before and after', async () => {
    const { curve } = await aHourWith({ 29: 62 });
    expect((await curve(600, NOON + 30 * MINUTE + 1)).doubted).toEqual(told.slice(0, 1));
  });

  test('is believed in hindsight once three in a row agree, from the first on', async () => {
    const { columns, doubted } = await (await aHourWith({ 29: 62, 30: 62, 31: 62.5 })).curve(4);
    expect(greatest(columns.beerTemperatureC.max)).toBe(62.5);
    expect(doubted).toEqual([]);
  });

  test('is told as it is read: calibrated', async () => {
    const { world, curve } = await aHourWith(WILD);
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
      calibration: [{ from: iso(NOON), offset: 1, gain: 1 }],
    });
    expect((await curve(4)).doubted?.map(({ value }) => value)).toEqual([63, -14]);
  });

  test('of which only the sums are left cannot be told apart, and stays in the extremes', async () => {
    const { world, curve } = await aHourWith(WILD);
    await world.store.retire('one.beer-temperature', NOON, NOON + 35 * MINUTE);
    const { columns, doubted } = await curve(20);
    expect([least(columns.beerTemperatureC.min), greatest(columns.beerTemperatureC.max)]).toEqual([4, 62]);
    expect(doubted).toEqual(told.slice(1));
  });

  test('is taken out however many there are, and the newest hundred are told', async () => {
    const every = Object.fromEntries(Array.from({ length: 120 }, (_, index) => [index * 2 + 1, index % 2 ? 62 : -15]));
    const { columns, doubted } = await (await aHourWith(every, 241)).curve(4, NOON + 242 * MINUTE);
    expect(greatest(columns.beerTemperatureC.max)).toBe(4);
    expect(doubted).toHaveLength(100);
    expect(doubted?.at(-1)?.at).toBe(iso(NOON + 240 * MINUTE));
  });
});
