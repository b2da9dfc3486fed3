/** Against a real broker in this process: what is acknowledged is kept, and what is not comes again. */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { MqttBroker } from '../../../src/adapters/mqtt/mqtt-broker.ts';
import { connectProbePublisher } from '../../../src/adapters/mqtt/probe-publisher.ts';
import type { IncomingMessage } from '../../../src/ports/broker.ts';
import { InProcessBroker } from '../../support/in-process-broker.ts';
import { settle, until } from '../../support/until.ts';

interface Taken extends IncomingMessage {
  readonly text: string;
  readonly done: (error: Error | null) => void;
}

let outside: InProcessBroker;
let broker: MqttBroker;
let taken: Taken[];

beforeEach(async () => {
  outside = await InProcessBroker.start();
  taken = [];
  broker = new MqttBroker({ url: outside.url(), clientId: 'quietkeg', reconnectMs: 20 });
});

afterEach(async () => {
  await broker.stop();
  await outside.stop();
});

async function start(...filters: readonly string[]): Promise<void> {
  await broker.start(filters.length === 0 ? ['probes/#'] : filters, (message, done) => {
    taken.push({ ...message, text: Buffer.from(message.payload).toString(), done });
  });
  await connected();
}

/** Connected, and the subscription has reached the broker. */
async function connected(): Promise<void> {
  await until('it is connected', () => broker.trouble() === null);
  await until('it has subscribed', () => subscriptions().length > 0);
}

const subscriptions = (): string[] => {
  const { clients } = outside.aedes as unknown as {
    readonly clients: Readonly<Record<string, { readonly subscriptions: object }>>;
  };
  const all = Object.keys(clients.quietkeg?.subscriptions ?? {});
  return all.filter((topic) => !topic.startsWith('$SYS/'));
};
const message = (index: number) => until(`message ${index} arrives`, () => taken[index]);
const texts = () => taken.map(({ text }) => text);

describe('acknowledging', () => {
  test('waits until a message is kept', async () => {
    await start();
    await outside.publish('probes/one/beer-temperature', '4.1');
    const { topic, text, retained, done } = await message(0);
    expect({ topic, text, retained }).toEqual({ topic: 'probes/one/beer-temperature', text: '4.1', retained: false });
    await settle();
    expect(outside.acknowledged).toEqual([]);
    done(null);
    await until('it is acknowledged', () => outside.acknowledged[0] === '4.1');
  });

  test('holds back nothing behind a message that waits, and answers in any order', async () => {
    await start();
    for (let n = 0; n < 30; n += 1) await outside.publish('probes/one/beer-temperature', String(n));
    await message(29);
    await settle();
    expect(outside.acknowledged).toEqual([]);
    for (const { done } of taken.toReversed()) done(null);
    await until('all are acknowledged', () => outside.acknowledged.length === 30);
    expect(outside.acknowledged.toSorted()).toEqual(texts().toSorted());
  });

  test('works for ids of two bytes', async () => {
    await start();
    for (let n = 0; n < 300; n += 1) {
      await outside.publish('probes/one/beer-temperature', String(n));
      (await message(n)).done(null);
    }
    await until('all are acknowledged', () => outside.acknowledged.length === 300);
  });

  test('a message at QoS 0 needs none, one at QoS 2 comes at QoS 1', async () => {
    await start();
    await outside.publish('probes/one/beer-temperature', 'zero', { qos: 0 });
    (await message(0)).done(null);
    await outside.publish('probes/one/beer-temperature', 'two', { qos: 2 });
    (await message(1)).done(null);
    await until('the second is acknowledged', () => outside.acknowledged.length > 0);
    await settle();
    expect(outside.acknowledged).toHaveLength(1);
  });
});

describe('a broken connection', () => {
  test('brings back what was not acknowledged, and only that', async () => {
    await start();
    await outside.publish('probes/one/beer-temperature', 'kept');
    await outside.publish('probes/one/beer-temperature', 'not kept');
    (await message(0)).done(null);
    await message(1);
    await until('the first is acknowledged', () => outside.acknowledged.length === 1);
    outside.cut();
    const again = await message(2);
    expect(again.text).toBe('not kept');
    again.done(null);
    await until('it is acknowledged', () => outside.acknowledged.length === 2);
    expect(texts()).toEqual(['kept', 'not kept', 'not kept']);
  });

  test('no acknowledgement goes to a later connection', async () => {
    await start();
    await outside.publish('probes/one/beer-temperature', '4.1');
    const first = await message(0);
    outside.cut();
    const second = await message(1);
    // The old `done` would acknowledge the same id on the new connection, before the second copy is kept.
    first.done(null);
    await settle();
    expect(outside.acknowledged).toEqual([]);
    second.done(null);
    await until('the second copy is acknowledged', () => outside.acknowledged.length === 1);
  });

  test('a message done while there is no connection comes again', async () => {
    await start();
    await outside.publish('probes/one/beer-temperature', '4.1');
    const { done } = await message(0);
    await outside.goAway();
    await until('it notices', () => broker.trouble() !== null);
    done(null);
    await outside.listen();
    (await message(1)).done(null);
    await until('it is acknowledged', () => outside.acknowledged.length === 1);
  });

  test('what was published while away comes afterwards', async () => {
    await start();
    await outside.goAway();
    await until('it notices', () => broker.trouble() !== null);
    expect(broker.trouble()).toMatch(/no connection to the MQTT broker/);
    await outside.publish('probes/one/beer-temperature', '4.1');
    await outside.listen();
    (await message(0)).done(null);
    await until('it is acknowledged', () => outside.acknowledged.length === 1);
    expect(broker.trouble()).toBeNull();
  });
});

describe('a connection broken on purpose', () => {
  test('because a message cannot be kept brings that message again', async () => {
    await start();
    await outside.publish('probes/one/beer-temperature', '4.1');
    (await message(0)).done(new Error('the disk is full'));
    const again = await message(1);
    expect(again.text).toBe('4.1');
    again.done(null);
    await until('it is acknowledged', () => outside.acknowledged.length === 1);
  });

  test('is mended, and so is the next that breaks by itself', async () => {
    await start();
    await outside.publish('probes/one/beer-temperature', 'a');
    (await message(0)).done(new Error('the disk is full'));
    (await message(1)).done(null);
    await until('the second copy is acknowledged', () => outside.acknowledged.length === 1);
    broker.publish('quietkeg/one/state', '{}', true);
    await until('it publishes', () => outside.published.some(({ topic }) => topic === 'quietkeg/one/state'));
    outside.cut();
    await until('it notices', () => broker.trouble() !== null);
    await connected();
    await outside.publish('probes/one/beer-temperature', 'b');
    (await message(2)).done(null);
    await until('it is acknowledged', () => outside.acknowledged.length === 2);
  });

  test('is broken once for many messages that cannot be kept at once', async () => {
    await start();
    for (const text of ['a', 'b', 'c']) await outside.publish('probes/one/beer-temperature', text);
    await message(2);
    for (const { done } of taken.slice(0, 3)) done(new Error('the disk is full'));
    await message(5);
    expect(texts().slice(3).toSorted()).toEqual(['a', 'b', 'c']);
    for (const { done } of taken.slice(3)) done(null);
    await until('all are acknowledged', () => outside.acknowledged.length === 3);
  });
});

describe('listening', () => {
  test('a retained message is told as such: it is a memory', async () => {
    await outside.publish('probes/one/beer-temperature', 'old', { retain: true });
    await start();
    const old = await message(0);
    expect([old.text, old.retained]).toEqual(['old', true]);
    old.done(null);
    await outside.publish('probes/one/beer-temperature', 'new', { retain: true });
    expect((await message(1)).retained).toBe(false);
  });

  test('follows new filters and leaves old ones', async () => {
    await start('probes/#', 'cellar/board');
    await broker.listenTo(['probes/#', 'garden/soil']);
    expect(subscriptions().toSorted()).toEqual(['garden/soil', 'probes/#']);
    await outside.publish('cellar/board', 'no');
    await outside.publish('garden/soil', 'yes');
    expect((await message(0)).text).toBe('yes');
  });

  test('subscribes again at every connection, to the newest filters', async () => {
    await start();
    await outside.goAway();
    await until('it notices', () => broker.trouble() !== null);
    await broker.listenTo(['garden/#']);
    await outside.listen();
    await until('it has subscribed anew', () => subscriptions().includes('garden/#'));
  });
});

describe('the service’s own messages', () => {
  const service = () =>
    outside.published.filter(({ topic }) => topic === 'quietkeg/service').map(({ payload }) => payload);

  test('online is said at every connection, offline by the last will', async () => {
    await start();
    await until('it says online', () => service().length === 1);
    outside.cut();
    await until('the broker speaks the last will, and it says online again', () => service().length === 3);
    expect(service()).toEqual(['online', 'offline', 'online']);
    expect(outside.published.filter(({ topic }) => topic === 'quietkeg/service').every(({ retain }) => retain)).toBe(
      true,
    );
  });

  test('offline is said before it leaves', async () => {
    await start();
    await until('it says online', () => service().length === 1);
    await broker.stop();
    expect(service().at(1)).toBe('offline');
  });

  test('are dropped while there is no connection', async () => {
    broker.publish('quietkeg/one/state', '{}', true);
    await start();
    await outside.goAway();
    await until('it notices', () => broker.trouble() !== null);
    broker.publish('quietkeg/one/state', '{}', true);
    await outside.listen();
    await connected();
    broker.publish('quietkeg/one/state', '{"new":1}', true);
    const states = () => outside.published.filter(({ topic }) => topic === 'quietkeg/one/state');
    await until('it publishes', () => states().length > 0);
    expect(states().map(({ payload }) => payload)).toEqual(['{"new":1}']);
  });
});

describe('its life', () => {
  test('starts although no broker is there, and connects when one is', async () => {
    await outside.goAway();
    await broker.start(['probes/#'], () => undefined);
    await until('it tells why', () => /ECONNREFUSED/.test(broker.trouble() ?? ''));
    await outside.listen();
    await connected();
  });

  test('stops although no broker is there, and twice does no harm', async () => {
    await outside.goAway();
    await broker.start(['probes/#'], () => undefined);
    await broker.stop();
    await broker.stop();
    broker.publish('quietkeg/one/state', '{}', true);
  });
});

test('a probe of the demo publishes at QoS 1 and closes', async () => {
  await start();
  const probe = await connectProbePublisher(outside.url());
  await probe.publish('probes/one/beer-temperature', '4.1');
  expect((await message(0)).text).toBe('4.1');
  await probe.close();
});
