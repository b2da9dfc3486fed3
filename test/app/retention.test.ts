import { describe, expect, test } from 'vitest';
import { Retention } from '../../src/app/retention.ts';
import type { Reading } from '../../src/domain/reading.ts';
import { DAY, HOUR, iso, MINUTE, NOON } from '../support/builders.ts';
import { until } from '../support/until.ts';
import { World } from '../support/world.ts';

/** Aim: old readings become minutes in small portions, those that somebody needs stay, and nothing has to wait for it. */

const BEER = 'one.beer-temperature';
const AGO = NOON - 90 * DAY;
/** A probe that is heard now. */
const ALIVE = 'site.ambient-pressure';

function readings(fromMs: number, count: number, everyMs: number, receivedAtMs = fromMs, probeId = BEER): Reading[] {
  return Array.from({ length: count }, (_, i) => {
    return { probeId, measuredAtMs: fromMs + i * everyMs, value: 4 + (i % 7), receivedAtMs, timeFrom: 'device' };
  });
}

async function retention(...batches: Reading[][]) {
  const world = await World.make();
  for (const batch of [...batches, readings(NOON, 1, 1, NOON, ALIVE)]) await world.store.append(batch);
  const { register } = world.services;
  const { store, clock, log } = world;
  const job = new Retention({ register, store, clock, log: log.log, rawDays: 90 });
  const run = async () => {
    let result: number | null = null;
    const running = job.run().then((retired) => {
      result = retired;
    });
    // Pauses end when the clock goes on.
    await until('all portions are done', () => {
      clock.advance(20);
      return result !== null;
    });
    await running;
    return result ?? Number.NaN;
  };
  const raw = (probeId = BEER) => store.range(probeId, 0, NOON + DAY, 1e6);
  return { world, store, job, run, raw };
}

describe('a round', () => {
  test('retires what is old, keeps what is not, and a second one finds nothing to do', async () => {
    const { run, raw, store } = await retention(readings(AGO - 2 * DAY, 5000, MINUTE));
    const before = await store.buckets(BEER, 0, NOON, HOUR);
    expect(await run()).toBe(2880);
    expect((await raw())[0]?.measuredAtMs).toBe(AGO);
    expect(await store.buckets(BEER, 0, NOON, HOUR)).toEqual(
      before.map((bucket) => ({ ...bucket, mean: expect.closeTo(bucket.mean, 9) })),
    );
    expect(await run()).toBe(0);
  });

  test('goes by small portions, also where many readings fall into one minute', async () => {
    const { run, store } = await retention(readings(AGO - DAY, 9000, 10), readings(AGO - HOUR, 3000, MINUTE));
    const spans: number[] = [];
    const retire = store.retire.bind(store);
    store.retire = async (...span) => {
      spans.push(await retire(...span));
      return spans.at(-1) ?? 0;
    };
    expect(await run()).toBe(9060);
    // 9,000 in a minute and a half: 6,000 of them in one minute.
    expect(Math.max(...spans)).toBe(6000);
    expect(spans.filter((count) => count > 2000)).toHaveLength(2);
  });

  test('leaves a batch that is open, and one that has ended lately', async () => {
    const { run, raw, world } = await retention(readings(AGO - 10 * DAY, 9 * 1440, MINUTE));
    const { kegChanges } = world.services;
    kegChanges.putKeg('one', {});
    const started = kegChanges.startBatch('one', {
      name: 'Old Ale',
      at: iso(AGO - 5 * DAY),
      beerState: 'flat',
      probe: 'wall',
    });
    expect(started.ok).toBe(true);
    expect(await run()).toBe(1440);
    expect((await raw())[0]?.measuredAtMs).toBe(AGO - 9 * DAY);
    kegChanges.addEvent('one', { kind: 'keg-emptied', at: iso(AGO + HOUR) });
    expect(await run()).toBe(0);
    kegChanges.addEvent('one', { kind: 'keg-emptied', at: iso(AGO - DAY) });
    expect(await run()).toBeGreaterThan(1440);
  });

  test('leaves what was imported lately, and the newest of a silent probe', async () => {
    const lately = readings(AGO - 5 * DAY, 500, MINUTE, NOON - DAY);
    const longAgo = readings(AGO - 20 * DAY, 100, MINUTE, AGO - 20 * DAY, 'two.beer-temperature');
    const { run, raw } = await retention(lately, longAgo);
    expect(await run()).toBe(84);
    expect(await raw()).toHaveLength(500);
    expect(await raw('two.beer-temperature')).toHaveLength(16);
  });
});

test('a clock that leaps ahead by years makes nothing old', async () => {
  const { run, world, raw } = await retention(readings(NOON - 80 * DAY, 5000, MINUTE));
  world.clock.stepWall(3650 * DAY);
  expect(await run()).toBe(0);
  expect(await raw()).toHaveLength(5000);
});

describe('by itself', () => {
  test('it begins some minutes after the start, comes again, and ends when told to', async () => {
    const { world, job, raw } = await retention(readings(AGO - 2 * DAY, 5000, MINUTE));
    job.start();
    await until('the first round is done', async () => {
      world.clock.advance(MINUTE);
      return world.log.lines.some((line) => line.includes('old readings are kept as minutes'));
    });
    expect((await raw()).length).toBeLessThanOrEqual(5000 - 2880);
    await job.stop();
    expect(world.clock.waiting()).toBe(0);
  });

  test('a store that is away is told, and tried again', async () => {
    const { world, job } = await retention(readings(AGO - 2 * DAY, 100, MINUTE));
    await world.store.close();
    job.start();
    await until('it is told', () => {
      world.clock.advance(MINUTE);
      return world.log.lines.some((line) => line.includes('old readings cannot be summed up now'));
    });
    await world.store.open();
    await until('the next round is done', () => {
      world.clock.advance(HOUR);
      return world.log.lines.some((line) => line.includes('84 old readings are kept as minutes'));
    });
    await job.stop();
  });

  test('it stops in the midst of a round', async () => {
    const { world, job, raw } = await retention(readings(AGO - 20 * DAY, 20 * 1440, MINUTE));
    job.start();
    world.clock.advance(10 * MINUTE);
    await until('it has begun', async () => (await raw()).length < 20 * 1440);
    await job.stop();
    expect((await raw()).length).toBeGreaterThan(10 * 1440);
    expect(world.clock.waiting()).toBe(0);
  });
});
