import { afterEach, describe, expect, test } from 'vitest';
import { MemoryReadingStore } from '../../src/adapters/memory/memory-reading-store.ts';
import { jsonPayloadDecoder } from '../../src/adapters/payload/json-payload-decoder.ts';
import { brokerChannel } from '../../src/app/broker-channel.ts';
import { ClockWatch } from '../../src/app/clock-watch.ts';
import { Ingest } from '../../src/app/ingest.ts';
import { Retention } from '../../src/app/retention.ts';
import { Service } from '../../src/app/service.ts';
import { Writer } from '../../src/app/writer.ts';
import { ProbeSetting } from '../../src/contract/index.ts';
import type { Broker, Receive } from '../../src/ports/broker.ts';
import { aReading, NOON, SECOND } from '../support/builders.ts';
import { keptLog } from '../support/kept-log.ts';
import { MemorySpool } from '../support/memory-spool.ts';
import { settle } from '../support/until.ts';
import { World } from '../support/world.ts';

/** A broker that keeps what it is told. */
class KeptBroker implements Broker {
  watch(): void {}

  readonly calls: string[] = [];
  readonly published: { readonly topic: string; readonly payload: string; readonly retain: boolean }[] = [];
  filters: readonly string[] = [];
  away: string | null = null;
  receive: Receive = () => undefined;

  async start(filters: readonly string[], receive: Receive): Promise<void> {
    this.calls.push('start');
    this.filters = filters;
    this.receive = receive;
  }

  async listenTo(filters: readonly string[]): Promise<void> {
    if (this.away !== null) throw new Error(this.away);
    this.filters = filters;
  }

  publish(topic: string, payload: string, retain: boolean): void {
    this.published.push({ topic, payload, retain });
  }

  trouble(): string | null {
    return this.away;
  }

  async stop(): Promise<void> {
    this.calls.push('stop');
  }

  states(): string[] {
    return this.published.filter(({ topic }) => topic.endsWith('/state')).map(({ topic }) => topic);
  }
}

const aMapping = (topic: string) => ProbeSetting.parse({ topic, of: 'one', quantity: 'beer-temperature' });

let started: Service | null = null;
afterEach(async () => {
  await started?.stop();
  started = null;
});

async function aService({ prepare = async (_: World) => {} } = {}) {
  const world = await World.make();
  await prepare(world);
  const { clock, services, store } = world;
  const broker = new KeptBroker();
  world.openChannel = () => brokerChannel(broker);
  const spool = new MemorySpool();
  const { log, lines } = keptLog();
  const writer: Writer = new Writer({ spool, store, clock, log, decode: (record) => ingest.readingsOf(record) });
  const { register, listening, monitor } = services;
  const accept = monitor.accept.bind(monitor);
  const directory = () => register.directory();
  const decoder = jsonPayloadDecoder;
  const ingest: Ingest = new Ingest({ broker, spool, writer, decoder, directory, listening, clock, log, accept });
  let closed = 0;
  const service = new Service({
    clock,
    log,
    broker,
    spool,
    store,
    writer,
    ingest,
    monitor,
    estimates: world.estimates,
    discover: 'probes/#',
    clockWatch: new ClockWatch(clock, world.journal, log),
    delivery: world.delivery,
    listening,
    retention: new Retention({ register, store, clock, log, rawDays: 90 }),
    outbox: world.outbox,
    services,
    flushSockets: () => undefined,
    closeCatalogue: () => {
      closed += 1;
    },
  });
  started = service;
  const tell = async (topic: string, payload: string) => {
    const answers: (Error | null)[] = [];
    broker.receive({ topic, payload: Buffer.from(payload), retained: false, qos: 1 }, (error) => answers.push(error));
    await settle(3);
    return answers;
  };
  return { world, clock, broker, spool, store, service, lines, services, tell, closed: () => closed };
}

describe('starting', () => {
  test('takes over the newest stored readings, and how often probes speak', async () => {
    const { service, services } = await aService({
      prepare: async ({ store }) => {
        const at = (n: number) => NOON - 60_000 * (20 - n);
        await store.append(Array.from({ length: 20 }, (_, n) => aReading('one.beer-temperature', at(n), n)));
        await store.append([aReading('no-such-probe', NOON, 1)]);
      },
    });
    await service.start();
    expect(services.feed.state('one')).toMatchObject({
      beerTemperatureC: 19,
      inputs: [{ state: 'fresh', freshForMs: 180_000 }],
    });
    expect(services.probes.get('one.beer-temperature')?.firstHeardAtMs).toBe(NOON - 20 * 60_000);
  });

  test('shows what the spool still holds, newer than the store', async () => {
    const { service, spool, store, services } = await aService();
    spool.records.push({
      receivedAtMs: NOON - SECOND,
      topic: 'probes/one/beer-temperature',
      payload: Buffer.from('4.5'),
      policy: 'live',
      retained: false,
    });
    await service.start();
    await settle();
    expect(services.feed.state('one')?.beerTemperatureC).toBe(4.5);
    expect(await store.latest('one.beer-temperature', 9)).toHaveLength(1);
  });

  test('does not wait for a store that is away', async () => {
    const { service, store, services, lines, tell } = await aService();
    store.extents = () => Promise.reject(new Error('connection refused'));
    await service.start();
    expect(lines[0]).toBe('warn past readings cannot be read yet: connection refused');
    expect(await tell('probes/one/beer-temperature', '4')).toEqual([null]);
    expect(services.probes.get('one.beer-temperature')?.value).toBe(4);
  });

  test('listens to default topics, and to those that probes were mapped to', async () => {
    const { service, broker } = await aService({
      prepare: async ({ services: { probeChanges } }) => {
        probeChanges.put('board', aMapping('cellar/board'));
        probeChanges.put('spare', aMapping('probes/spare'));
      },
    });
    await service.start();
    expect(broker.filters).toEqual(['probes/#', 'cellar/board']);
  });
});

describe('running', () => {
  test('new topics are listened to within a second', async () => {
    const { service, broker, services, clock, lines } = await aService();
    await service.start();
    services.probeChanges.put('board', aMapping('cellar/board'));
    clock.advance(SECOND);
    expect(broker.filters).toEqual(['probes/#', 'cellar/board']);
    broker.away = 'no connection';
    services.probeChanges.delete('board');
    clock.advance(SECOND);
    await settle();
    expect(lines).toContain('warn cannot listen to new topics: no connection');
  });

  test('states are published by MQTT, retained, at most once a second', async () => {
    const { service, broker, clock, tell } = await aService();
    await service.start();
    for (const value of ['4', '5', '6']) {
      await tell('probes/one/beer-temperature', value);
      clock.advance(100);
    }
    expect(broker.states()).toEqual([]);
    clock.advance(SECOND);
    expect(broker.states()).toEqual(['quietkeg/one/state']);
    const [{ payload = '', retain = false } = {}] = broker.published;
    expect(retain).toBe(true);
    expect(JSON.parse(payload)).toMatchObject({ kegId: 'one', beerTemperatureC: 6 });
    clock.advance(5 * SECOND);
    expect(broker.states()).toHaveLength(1);
  });

  test('while the broker is away the newest state waits', async () => {
    const { service, broker, clock, tell } = await aService();
    await service.start();
    broker.away = 'no connection';
    await tell('probes/one/beer-temperature', '4');
    clock.advance(3 * SECOND);
    expect(broker.states()).toEqual([]);
    broker.away = null;
    clock.advance(SECOND);
    expect(broker.states()).toEqual(['quietkeg/one/state']);
  });

  test('a keg that is gone is forgotten by the broker', async () => {
    const { service, broker, services, clock, tell } = await aService();
    await service.start();
    await tell('probes/one/beer-temperature', '4');
    clock.advance(SECOND);
    services.kegChanges.deleteKeg('one', true);
    clock.advance(SECOND);
    expect(broker.published.at(-1)).toEqual({ topic: 'quietkeg/one/state', payload: '', retain: true });
  });
});

describe('telling', () => {
  test('alerts are published, not retained', async () => {
    const { service, broker, clock, tell } = await aService();
    await service.start();
    for (let minute = 0; minute <= 10; minute += 1) {
      await tell('probes/one/beer-temperature', '1.5');
      clock.advance(60 * SECOND);
    }
    const alerts = broker.published.filter(({ topic }) => topic.endsWith('/alert'));
    expect(alerts).toMatchObject([{ topic: 'quietkeg/one/alert', retain: false }]);
    expect(JSON.parse(alerts[0]?.payload ?? '')).toMatchObject({ rule: 'cold-enough', state: 'active', kegId: 'one' });
  });

  test('alerts that the broker missed are published when it is back', async () => {
    const { service, broker, clock, tell } = await aService();
    await service.start();
    broker.away = 'gone';
    for (let minute = 0; minute <= 60; minute += 1) {
      await tell('probes/one/beer-temperature', '1.5');
      clock.advance(60 * SECOND);
      await settle(3);
    }
    const alerts = () => broker.published.filter(({ topic }) => topic.endsWith('/alert'));
    expect(alerts()).toEqual([]);
    broker.away = null;
    clock.advance(2 * SECOND);
    await settle(3);
    expect(alerts().map(({ payload }) => JSON.parse(payload).state)).toEqual(['active']);
  });

  test('pages get a sign of life every ten seconds', async () => {
    const { service, world, clock } = await aService();
    await service.start();
    clock.advance(30 * SECOND);
    expect(world.frames.filter(({ type }) => type === 'beat')).toHaveLength(3);
  });
});

describe('trouble', () => {
  test('a part that fails is logged once, and keeps no other from working', async () => {
    const { service, services, clock, lines, world } = await aService();
    await service.start();
    const { tick } = services.monitor;
    services.monitor.tick = () => {
      throw new TypeError('our mistake');
    };
    clock.advance(10 * SECOND);
    expect(lines.filter((line) => /^error the monitor failed: TypeError: our mistake/.test(line))).toHaveLength(1);
    expect(world.frames.some(({ type }) => type === 'beat')).toBe(true);
    services.monitor.tick = tick.bind(services.monitor);
    clock.advance(10 * SECOND);
    expect(lines.filter((line) => /failed/.test(line))).toHaveLength(1);
  });

  test('a store that takes no readings for five minutes is an alert, until it does', async () => {
    const { service, store, services, clock, tell } = await aService();
    await service.start();
    store.append = () => Promise.reject(new Error('limit of series reached'));
    await tell('probes/one/beer-temperature', '9');
    const pass = async (seconds: number) => {
      for (let second = 0; second < seconds; second += 1) {
        clock.advance(SECOND);
        await settle(1);
      }
    };
    await pass(290);
    const told = () => services.desk.told().filter(({ rule }) => rule === 'readings-wait');
    expect(told()).toEqual([]);
    await pass(20);
    expect(told()).toMatchObject([
      {
        level: 'attention',
        measured: 1,
        message: expect.stringMatching(/^Readings wait on this disk: .*limit of series/),
      },
    ]);
    store.append = MemoryReadingStore.prototype.append.bind(store);
    await pass(40);
    expect(told()).toEqual([]);
  });

  test('a disk that takes no readings is an alert, and tried again until it does', async () => {
    const { service, spool, services, clock } = await aService();
    await service.start();
    spool.appendError = new Error('cannot write: no space left');
    clock.advance(2 * SECOND);
    expect(services.desk.told()).toMatchObject([
      {
        rule: 'readings-not-kept',
        level: 'urgent',
        message: 'New readings cannot be kept: cannot write: no space left.',
      },
    ]);
    expect(spool.retries).toBe(2);
    spool.appendError = null;
    clock.advance(SECOND);
    expect(services.desk.told()).toEqual([]);
    expect(services.desk.recent(1)).toMatchObject([
      { state: { kind: 'ended' }, message: 'New readings are kept again.' },
    ]);
  });
});

describe('stopping', () => {
  test('ends the ticks, leaves the broker and closes the catalogue', async () => {
    const { service, broker, clock, closed } = await aService();
    await service.start();
    await service.stop();
    started = null;
    expect(broker.calls).toEqual(['start', 'stop']);
    expect(closed()).toBe(1);
    expect(clock.waiting()).toBe(0);
  });
});
