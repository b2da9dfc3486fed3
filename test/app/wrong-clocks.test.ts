/**
 * Aim: whatever clock is wrong, a reading lands where it belongs, or waits until that can be told.
 * Method: messages through ingest and writer into a store, on a clock that the test sets.
 */
import { afterEach, describe, expect, test } from 'vitest';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';
import { ClockWatch } from '../../src/app/clock-watch.ts';
import type { StoredReading } from '../../src/domain/reading.ts';
import { DAY, HOUR, iso, MINUTE, NOON, SECOND } from '../support/builders.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { IngestWorld } from '../support/ingest-world.ts';
import { keptLog } from '../support/kept-log.ts';

let world: IngestWorld | null = null;
afterEach(async () => {
  await world?.stop();
  world = null;
});

const TOPIC = 'probes/one/beer-temperature';
const stored = async (from: IngestWorld): Promise<StoredReading[]> => {
  await from.quiet();
  return from.store.range('one.beer-temperature', -1e15, 1e15, 100_000);
};

describe('a device clock', () => {
  test.each([
    ['at 1970', iso(5 * MINUTE), NOON, 'receipt-device-refused'],
    ['that counts from its start', 300, NOON, 'receipt-device-refused'],
    ['a year ahead', iso(NOON + 365 * DAY), NOON, 'receipt-device-refused'],
    ['an hour ahead', iso(NOON + HOUR), NOON, 'receipt-device-refused'],
    ['two minutes ahead', iso(NOON + 2 * MINUTE), NOON + 2 * MINUTE, 'device'],
    ['an hour behind', iso(NOON - HOUR), NOON - HOUR, 'device'],
    ['a week behind', iso(NOON - 7 * DAY), NOON - 7 * DAY, 'device'],
    ['more than a week behind', iso(NOON - 7 * DAY - 1), NOON, 'receipt-device-refused'],
    ['in seconds', NOON / 1000, NOON, 'device'],
    ['in milliseconds', NOON, NOON, 'device'],
    ['in microseconds', NOON * 1000, NOON, 'receipt-device-refused'],
  ] as const)('%s', async (_, time, measuredAtMs, timeFrom) => {
    world = await IngestWorld.start(new FakeClock(NOON));
    world.receive(TOPIC, JSON.stringify({ value: 4, time }));
    expect(await stored(world)).toMatchObject([{ measuredAtMs, receivedAtMs: NOON, timeFrom }]);
  });
});

describe('the clock of the machine, not set yet', () => {
  test('holds what comes in, acknowledged and counted; once set, everything is where it belongs', async () => {
    const clock = new FakeClock(0);
    world = await IngestWorld.start(clock);
    expect(world.clockWatch.trouble()).toMatch(/1970-01-01/);
    expect(world.receive(TOPIC, '4')).toEqual([null]);
    clock.advance(30 * SECOND);
    // A device that knows the time is not believed against a clock that does not.
    world.receive(TOPIC, JSON.stringify({ value: 5, time: iso(NOON + 30 * SECOND) }));
    clock.advance(10 * SECOND);
    await world.tick();
    expect(world.ingest.heldMessages()).toBe(2);
    expect(await stored(world)).toEqual([]);
    clock.stepWall(NOON);
    world.receive(TOPIC, '6');
    await world.tick();
    expect(world.clockWatch.trouble()).toBeNull();
    expect((await stored(world)).map(({ measuredAtMs, value }) => [measuredAtMs - NOON, value])).toEqual([
      [0, 4],
      [30 * SECOND, 5],
      [40 * SECOND, 6],
    ]);
    expect(world.ingest.heldMessages()).toBe(0);
    expect(world.ingest.ledger()).toEqual({ received: 3, stored: 3, duplicates: 0, rejected: 0, waiting: 0 });
    expect(world.shown.map(({ value }) => value)).toEqual([4, 5, 6]);
  });

  test('that steps twice before it is right gives one line of times', async () => {
    const clock = new FakeClock(0);
    world = await IngestWorld.start(clock);
    world.receive(TOPIC, '4');
    clock.stepWall(5 * HOUR);
    clock.advance(MINUTE);
    await world.tick();
    world.receive(TOPIC, '5');
    clock.stepWall(NOON - 5 * HOUR);
    clock.advance(MINUTE);
    await world.tick();
    expect((await stored(world)).map(({ measuredAtMs }) => measuredAtMs - NOON)).toEqual([0, MINUTE]);
  });

  test('a kill right after it was set changes no time of what is half stored', async () => {
    const clock = new FakeClock(0);
    world = await IngestWorld.start(clock);
    for (let n = 0; n < 5; n += 1) world.receive(TOPIC, String(n));
    world.store.failure = new Error('away');
    clock.stepWall(NOON);
    await world.tick();
    await world.stop();
    const after = await world.restart();
    world = after;
    after.store.failure = null;
    clock.advance(40 * SECOND);
    expect((await stored(after)).map(({ measuredAtMs }) => measuredAtMs)).toEqual([NOON, NOON, NOON, NOON, NOON]);
  });

  test('a restart before it is set leaves times that nobody can tell: listed, not guessed', async () => {
    const clock = new FakeClock(0);
    world = await IngestWorld.start(clock);
    world.receive(TOPIC, '4');
    await world.stop();
    clock.stepWall(NOON);
    const after = await world.restart();
    world = after;
    expect(await stored(after)).toEqual([]);
    expect(after.listening.rejected()).toMatchObject([
      { sample: '4', reason: expect.stringMatching(/time is unknown/) },
    ]);
  });

  test('refuses an import, whose times it could not judge', async () => {
    world = await IngestWorld.start(new FakeClock(0));
    await expect(world.ingest.importPast([{ topic: TOPIC, payload: '4' }])).rejects.toThrow(
      /set it, then import again/,
    );
  });
});

describe('the clock of the machine, set while it runs', () => {
  test('back to 1970 is noticed with the next message', async () => {
    const clock = new FakeClock(NOON);
    world = await IngestWorld.start(clock);
    world.receive(TOPIC, '4');
    clock.stepWall(-NOON);
    world.receive(TOPIC, '5');
    expect(world.ingest.heldMessages()).toBe(1);
    clock.advance(MINUTE);
    clock.stepWall(NOON);
    await world.tick();
    expect((await stored(world)).map(({ measuredAtMs }) => measuredAtMs)).toEqual([NOON, NOON]);
  });

  test('by an hour either way is believed and told', async () => {
    const clock = new FakeClock(NOON);
    const watch = new ClockWatch(clock, new SqliteJournal(openCatalogueFile(':memory:')), keptLog().log);
    watch.start(NOON);
    for (const stepMs of [HOUR, -HOUR]) {
      clock.stepWall(stepMs);
      clock.advance(SECOND);
      expect(watch.tick()).toEqual({ gained: false, stepMs });
      expect(watch.stamp()).toEqual({ receivedAtMs: clock.nowMs() });
    }
    expect(watch.tick()).toEqual({ gained: false, stepMs: null });
  });
});
