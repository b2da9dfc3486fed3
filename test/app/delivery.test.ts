import { describe, expect, test } from 'vitest';
import type { Curve, Delivery } from '../../src/contract/index.ts';
import type { BrokerNews } from '../../src/ports/broker.ts';
import { HOUR, iso, MINUTE, NOON, SECOND } from '../support/builders.ts';
import { anHttpWorld } from '../support/http-world.ts';
import { World } from '../support/world.ts';

const NOTHING = { received: 0, stored: 0, duplicates: 0, rejected: 0, waiting: 0 };
const marks = (world: World) =>
  world.journal.newestGapMarks(10).map(({ cause, fromMs, toMs }) => [cause, fromMs - NOON, toMs - NOON]);
const tell = (world: World, ...news: readonly BrokerNews[]) => {
  for (const one of news) world.brokerWatch.hear(one);
};
const CONNECTED = { kind: 'connected', sessionResumed: true } as const;
const FORGOTTEN = { kind: 'connected', sessionResumed: false } as const;

describe('the service being down', () => {
  test('is noted at the next start, from when it was last known to run', async () => {
    const world = await World.make();
    world.delivery.tick(NOTHING);
    world.clock.advance(40 * SECOND);
    world.delivery.tick(NOTHING);
    world.clock.advance(20 * SECOND);
    world.delivery.tick(NOTHING);
    const after = await world.restart(HOUR);
    after.delivery.tick(NOTHING);
    after.delivery.tick(NOTHING);
    expect(marks(after)).toEqual([['service-down', 40 * SECOND, HOUR + MINUTE]]);
  });

  test('for a moment is no gap, nor is an orderly stop earlier than it was', async () => {
    const world = await World.make();
    world.delivery.tick(NOTHING);
    world.clock.advance(25 * SECOND);
    world.delivery.stop();
    const after = await world.restart(44 * SECOND);
    after.delivery.tick(NOTHING);
    expect(marks(after)).toEqual([]);
    const never = await World.make();
    never.delivery.stop();
    expect(never.journal.counter('alive-ms')).toBeNull();
  });
});

describe('a broker elsewhere', () => {
  test('that had forgotten us lost what it took since we left', async () => {
    const world = await World.make();
    tell(world, FORGOTTEN);
    world.clock.advance(MINUTE);
    tell(world, { kind: 'disconnected' });
    world.clock.advance(7 * MINUTE);
    tell(world, FORGOTTEN);
    expect(marks(world)).toEqual([['session-lost', MINUTE, 8 * MINUTE]]);
  });

  test('is watched on although nothing can be kept', async () => {
    const world = await World.make();
    tell(world, FORGOTTEN);
    const full = () => {
      throw new Error('database or disk is full');
    };
    Object.assign(world.journal, { saveCounter: full, saveGapMark: full });
    world.clock.advance(MINUTE);
    tell(world, { kind: 'disconnected' }, FORGOTTEN, { kind: 'dropped', total: 3 }, { kind: 'dropped', total: 4 });
    expect(world.brokerWatch.audit()).toContainEqual(expect.objectContaining({ name: 'session', state: 'act' }));
  });

  test('that knew us lost nothing', async () => {
    const world = await World.make();
    tell(world, FORGOTTEN, { kind: 'disconnected' });
    world.clock.advance(7 * MINUTE);
    tell(world, CONNECTED);
    expect(marks(world)).toEqual([]);
  });

  test('that forgot us while we were killed is found out at the next start', async () => {
    const world = await World.make();
    tell(world, FORGOTTEN);
    world.clock.advance(10 * MINUTE);
    world.delivery.tick(NOTHING);
    const after = await world.restart(HOUR);
    tell(after, FORGOTTEN, { kind: 'uptime', seconds: 60 });
    expect(marks(after)).toEqual([['session-lost', 10 * MINUTE, 10 * MINUTE + HOUR]]);
    expect(after.brokerWatch.audit().slice(0, 2)).toMatchObject([
      { name: 'session', state: 'act', setting: expect.stringMatching(/persistence true/) },
      { name: 'persistence', state: 'act' },
    ]);
  });

  test('that throws messages away is noted by its counter, over a restart of its own too', async () => {
    const world = await World.make();
    tell(world, FORGOTTEN, { kind: 'dropped', total: 500 });
    expect(marks(world)).toEqual([]);
    world.clock.advance(MINUTE);
    tell(world, { kind: 'dropped', total: 500 }, { kind: 'dropped', total: 503 });
    expect(marks(world)).toEqual([['broker-dropped', MINUTE - 11 * SECOND, MINUTE]]);
    tell(world, { kind: 'disconnected' });
    world.clock.advance(HOUR);
    tell(world, CONNECTED, { kind: 'dropped', total: 4 });
    expect(marks(world)[0]).toEqual(['broker-dropped', MINUTE, HOUR + MINUTE]);
    expect(world.brokerWatch.audit()).toContainEqual({
      name: 'dropped',
      state: 'act',
      message: 'The broker threw away 7 messages that waited.',
      setting: 'max_queued_messages 0\nmax_queued_bytes 0',
    });
  });
});

describe('GET /delivery', () => {
  test('tells how each probe delivers, whose clock is off, and what the broker should be set to', async () => {
    const http = await anHttpWorld();
    const { world } = http;
    tell(world, FORGOTTEN, { kind: 'granted', qos: 1 }, { kind: 'version', text: 'broker 1' });
    tell(world, { kind: 'anonymous', isAllowed: true });
    for (let n = 0; n < 30; n += 1) {
      const time = iso(world.clock.nowMs() - HOUR);
      await world.hear('probes/one/beer-temperature', JSON.stringify({ value: 4, time }));
      world.clock.advance(10 * SECOND);
    }
    await world.hear('probes/one/headspace-pressure', '70');
    world.delivery.heard('probes/one/beer-temperature', 0);
    world.delivery.heard('probes/one/headspace-pressure', 1);
    const answer = (await http.ask('GET', '/delivery')).json() as Delivery;
    expect(answer).toMatchObject({
      ledger: NOTHING,
      catchUp: null,
      clock: null,
      heldMessages: 0,
      broker: { kind: 'elsewhere', version: 'broker 1', trouble: null },
      gaps: [],
    });
    expect(answer.broker.audit.find(({ name }) => name === 'anonymous')).toMatchObject({ state: 'act' });
    expect(answer.probes).toMatchObject([
      {
        probeId: 'one.beer-temperature',
        delivery: 'can-be-lost',
        clockOffS: 3600,
        advice: expect.stringMatching(/QoS 1.*Set the clock of the device/),
      },
      { probeId: 'one.headspace-pressure', delivery: 'answered', clockOffS: null, advice: '' },
    ]);
  });

  test('tells how long catching up takes', async () => {
    const world = await World.make();
    const report = (waiting: number) => {
      const health = { broker: null, spool: null, store: null, clock: null };
      const ledger = { ...NOTHING, received: waiting, waiting };
      return world.delivery.report({ ledger, health, heldMessages: 0, probes: [] }).catchUp;
    };
    expect(report(5000)).toEqual({ waiting: 5000, perSecond: 0, secondsLeft: null });
    for (let n = 0; n < 20; n += 1) world.delivery.tick({ ...NOTHING, stored: n * 900, duplicates: n * 100 });
    expect(report(30_000)).toEqual({ waiting: 30_000, perSecond: 1000, secondsLeft: 30 });
    expect(report(4999)).toBeNull();
  });

  test('and the curve and the metrics tell the gaps', async () => {
    const http = await anHttpWorld();
    const { world } = http;
    const speak = async (minutes: number) => {
      for (let n = 0; n < minutes; n += 1) {
        await world.hear('probes/one/beer-temperature', 4 + (n % 10) / 10);
        world.clock.advance(MINUTE);
      }
    };
    await speak(20);
    world.clock.advance(30 * MINUTE);
    world.journal.saveGapMark({ cause: 'service-down', fromMs: NOON + 22 * MINUTE, toMs: NOON + 50 * MINUTE });
    await speak(20);
    world.clock.advance(40 * MINUTE);
    await speak(2);
    const path = `/kegs/one/curve?points=300&from=${iso(NOON)}&to=${iso(world.clock.nowMs())}`;
    const { gaps } = (await http.ask('GET', path)).json() as Curve;
    expect(gaps).toEqual([
      { from: iso(NOON + 20 * MINUTE), to: iso(NOON + 22 * MINUTE), cause: 'probe-silent' },
      { from: iso(NOON + 22 * MINUTE), to: iso(NOON + 50 * MINUTE), cause: 'service-down' },
      { from: iso(NOON + 70 * MINUTE), to: iso(NOON + 110 * MINUTE), cause: 'probe-silent' },
    ]);
    expect((await http.ask('GET', '/metrics')).body).toMatch(/^quietkeg_gaps\{cause="service-down"\} 1$/m);
  });
});
