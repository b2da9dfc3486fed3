/** Real clients on real sockets: what the broker answers must wait for what the service has kept. */
import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { EmbeddedBroker } from '../../../src/adapters/broker/embedded-broker.ts';
import type { IncomingMessage } from '../../../src/ports/broker.ts';
import { settle, until } from '../../support/until.ts';

interface Taken extends IncomingMessage {
  readonly text: string;
  readonly done: (error: Error | null) => void;
}

let broker: EmbeddedBroker;
let taken: Taken[];
let clients: MqttClient[];

beforeEach(async () => {
  taken = [];
  clients = [];
  broker = new EmbeddedBroker({ host: '127.0.0.1', port: 0 });
  await broker.start(['probes/#', 'cellar/board'], (message, done) => {
    taken.push({ ...message, text: Buffer.from(message.payload).toString(), done });
  });
});

afterEach(async () => {
  for (const client of clients) await client.endAsync(true);
  await broker.stop();
});

const url = () => `mqtt://127.0.0.1:${broker.port()}`;

async function connect(options: mqtt.IClientOptions = {}): Promise<MqttClient> {
  const client = await mqtt.connectAsync(url(), { protocolVersion: 4, reconnectPeriod: 10, ...options });
  client.on('error', () => undefined);
  clients.push(client);
  return client;
}

/** Publishes and keeps what became of it. */
function publish(client: MqttClient, topic: string, payload: string, qos: 0 | 1 | 2 = 1) {
  const fate = { acknowledged: false };
  client.publish(topic, payload, { qos }, (error) => {
    fate.acknowledged = !error;
  });
  return fate;
}

const message = (index: number) => until(`message ${index} arrives`, () => taken[index]);

describe('a message for the service', () => {
  test('is acknowledged only when it is kept', async () => {
    const fate = publish(await connect(), 'probes/one/beer-temperature', '4.1');
    const { topic, text, retained, done } = await message(0);
    expect({ topic, text, retained }).toEqual({ topic: 'probes/one/beer-temperature', text: '4.1', retained: false });
    await settle();
    expect(fate.acknowledged).toBe(false);
    done(null);
    await until('it is acknowledged', () => fate.acknowledged);
  });

  test('does not hold back those behind it', async () => {
    const client = await connect();
    const fates = Array.from({ length: 20 }, (_, n) => publish(client, 'probes/one/beer-temperature', String(n)));
    await message(19);
    await settle();
    expect(fates.some(({ acknowledged }) => acknowledged)).toBe(false);
    expect(taken.map(({ text }) => text)).toEqual(fates.map((_, n) => String(n)));
    for (const { done } of taken) done(null);
    await until('all are acknowledged', () => fates.every(({ acknowledged }) => acknowledged));
  });

  test('does not hold back other clients', async () => {
    const [slow, other] = [await connect(), await connect()];
    publish(slow, 'probes/one/beer-temperature', '1');
    await message(0);
    const fate = publish(other, 'probes/two/beer-temperature', '2');
    (await message(1)).done(null);
    await until('the other is acknowledged', () => fate.acknowledged);
  });

  test('that cannot be kept breaks the connection, and comes again', async () => {
    const client = await connect({ clientId: 'probe', clean: false });
    let closed = 0;
    client.on('close', () => {
      closed += 1;
    });
    const fate = publish(client, 'probes/one/beer-temperature', '4.1');
    (await message(0)).done(new Error('the disk is full'));
    const again = await message(1);
    expect(closed).toBeGreaterThan(0);
    expect(fate.acknowledged).toBe(false);
    expect(again.text).toBe('4.1');
    again.done(null);
    await until('it is acknowledged', () => fate.acknowledged);
  });
});

describe('a message at any quality of service', () => {
  test.each([0, 1, 2] as const)('at QoS %d is taken once', async (qos) => {
    const client = await connect();
    const fate = publish(client, 'probes/one/beer-temperature', '4.1', qos);
    (await message(0)).done(null);
    await until('the client is through with it', () => fate.acknowledged);
    const behind = publish(client, 'probes/one/beer-temperature', '4.2');
    (await message(1)).done(null);
    await until('the next is acknowledged', () => behind.acknowledged);
    expect(taken.map(({ text }) => text)).toEqual(['4.1', '4.2']);
  });

  test('at QoS 2 is not answered before it is kept either', async () => {
    const client = await connect();
    const answers: string[] = [];
    client.on('packetreceive', ({ cmd }) => answers.push(cmd));
    const fate = publish(client, 'probes/one/beer-temperature', '4.1', 2);
    const { done } = await message(0);
    await settle();
    expect(answers).toEqual([]);
    done(null);
    await until('it is acknowledged', () => fate.acknowledged);
    expect(answers).toEqual(['pubrec', 'pubcomp']);
  });

  test('that asks to be retained is news to us, and a memory to who comes later', async () => {
    const probe = await connect();
    probe.publish('probes/one/beer-temperature', '4.1', { qos: 1, retain: true });
    const first = await message(0);
    expect(first.retained).toBe(false);
    first.done(null);
    const page = await connect();
    const heard: { payload: string; retain: boolean }[] = [];
    page.on('message', (_topic, payload, { retain }) => heard.push({ payload: payload.toString(), retain }));
    await until('it is retained', async () => {
      await page.subscribeAsync('probes/#', { qos: 1 });
      return heard.length > 0;
    });
    expect(heard[0]).toEqual({ payload: '4.1', retain: true });
    expect(taken).toHaveLength(1);
  });

  test('with an empty payload comes as such', async () => {
    const client = await connect();
    publish(client, 'probes/one/beer-temperature', '');
    expect((await message(0)).payload.byteLength).toBe(0);
  });
});

describe('other messages', () => {
  test('pass between clients without the service', async () => {
    const [from, to] = [await connect(), await connect()];
    const heard: string[] = [];
    to.on('message', (_topic, payload) => heard.push(payload.toString()));
    await to.subscribeAsync('garden/#', { qos: 1 });
    await from.publishAsync('garden/soil', '7', { qos: 1 });
    await until('the other client hears it', () => heard[0] === '7');
    expect(taken).toHaveLength(0);
  });

  test.each(['quietkeg/service', 'quietkeg/one/state', '$SYS/x'])(
    'to %s are refused: they are our own',
    async (topic) => {
      const client = await connect({ reconnectPeriod: 0 });
      const closed = new Promise<void>((resolve) => client.once('close', () => resolve()));
      client.publish(topic, 'forged', { qos: 1 });
      await closed;
      expect(taken).toHaveLength(0);
    },
  );

  test('are taken once their topic is listened to, and no longer when it is not', async () => {
    const client = await connect();
    await broker.listenTo(['garden/#']);
    publish(client, 'garden/soil', '7');
    (await message(0)).done(null);
    await client.publishAsync('probes/one/beer-temperature', '4', { qos: 1 });
    expect(taken).toHaveLength(1);
  });
});

describe('the service’s own messages', () => {
  test('reach who listens, retained ones those that come later too', async () => {
    broker.publish('quietkeg/one/state', '{"a":1}', true);
    broker.publish('quietkeg/one/alert', '{"b":2}', false);
    const client = await connect();
    const heard: [string, string, boolean][] = [];
    client.on('message', (topic, payload, { retain }) => heard.push([topic, payload.toString(), retain]));
    await client.subscribeAsync('quietkeg/one/#', { qos: 1 });
    await until('the retained one comes', () => heard.length === 1);
    broker.publish('quietkeg/one/alert', '{"c":3}', false);
    await until('the new one comes', () => heard.length === 2);
    expect(heard).toEqual([
      ['quietkeg/one/state', '{"a":1}', true],
      ['quietkeg/one/alert', '{"c":3}', false],
    ]);
    expect(taken).toHaveLength(0);
  });

  test('an empty retained one makes the broker forget', async () => {
    broker.publish('quietkeg/one/state', '{"a":1}', true);
    broker.publish('quietkeg/one/state', '', true);
    broker.publish('quietkeg/two/state', '{"b":2}', true);
    const client = await connect();
    const heard: string[] = [];
    client.on('message', (topic) => heard.push(topic));
    await client.subscribeAsync('quietkeg/+/state', { qos: 1 });
    await until('the other is still there', () => heard.length > 0);
    await settle();
    expect(heard).toEqual(['quietkeg/two/state']);
  });
});

describe('its life', () => {
  test('is told: online from the start, offline to those who listen when it stops', async () => {
    const client = await connect({ reconnectPeriod: 0 });
    const heard: string[] = [];
    client.on('message', (_topic, payload, { retain }) => heard.push(`${payload.toString()} ${retain}`));
    await client.subscribeAsync('quietkeg/service', { qos: 1 });
    await until('it says online', () => heard.length === 1);
    await broker.stop();
    await until('it says offline', () => heard.length === 2);
    expect(heard).toEqual(['online true', 'offline false']);
  });

  test('tells its trouble and its port', async () => {
    const other = new EmbeddedBroker({ host: '127.0.0.1', port: 0 });
    expect(other.trouble()).toMatch(/does not listen/);
    expect(other.port()).toBeNull();
    other.publish('quietkeg/service', 'online', true);
    await other.stop();
    await other.start([], () => undefined);
    expect(other.trouble()).toBeNull();
    expect(other.port()).toBeGreaterThan(0);
    await other.stop();
    expect(other.trouble()).toMatch(/does not listen/);
  });

  test('a port that is taken is told', async () => {
    const other = new EmbeddedBroker({ host: '127.0.0.1', port: broker.port() ?? 0 });
    await expect(other.start([], () => undefined)).rejects.toMatchObject({ code: 'EADDRINUSE' });
    expect(other.trouble()).not.toBeNull();
  });

  test('stops while a client is connected and a message is held', async () => {
    const client = await connect({ reconnectPeriod: 0 });
    const fate = publish(client, 'probes/one/beer-temperature', '4.1');
    const { done } = await message(0);
    await broker.stop();
    done(null);
    await settle();
    expect(fate.acknowledged).toBe(false);
  });

  test('a client that breaks the protocol harms nobody', async () => {
    const { connect: tcp } = await import('node:net');
    const socket = tcp(broker.port() ?? 0, '127.0.0.1');
    socket.on('error', () => undefined);
    const closed = new Promise<void>((resolve) => socket.once('close', () => resolve()));
    socket.write(Buffer.from('GET / HTTP/1.1\r\n\r\n'));
    await closed;
    const fate = publish(await connect(), 'probes/one/beer-temperature', '4.1');
    (await message(0)).done(null);
    await until('others are served', () => fate.acknowledged);
  });
});
