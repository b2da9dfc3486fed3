/** Aim: who comes in to the embedded broker and what they may do there; each limit at its bound and one beyond. */
import { once } from 'node:events';
import { connect } from 'node:net';
import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import {
  CONNECTIONS_MAX,
  EmbeddedBroker,
  PACKET_BYTES_MAX,
  SUBSCRIPTIONS_MAX,
} from '../../../src/adapters/broker/embedded-broker.ts';
import { PacketMeter } from '../../../src/adapters/broker/packet-meter.ts';
import { NodeSecrets } from '../../../src/adapters/secrets/node-secrets.ts';
import { openCatalogueFile } from '../../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteMqttUsers } from '../../../src/adapters/sqlite/sqlite-mqtt-users.ts';
import { UserBrokerDoor } from '../../../src/app/broker-door.ts';
import { NOON } from '../../support/builders.ts';
import { FakeClock } from '../../support/fake-clock.ts';
import { keptLog } from '../../support/kept-log.ts';
import { TEST_CERTIFICATE, TEST_KEY } from '../../support/test-certificate.ts';
import { until } from '../../support/until.ts';

const PASSWORD = 'garage-probe-password';
let broker: EmbeddedBroker;
let users: SqliteMqttUsers;
let door: UserBrokerDoor;
let heard: string[];
let clients: MqttClient[];
let log: ReturnType<typeof keptLog>;

beforeEach(async () => {
  users = new SqliteMqttUsers(openCatalogueFile(':memory:'));
  const secrets = new NodeSecrets();
  const hash = await secrets.hash(PASSWORD);
  users.put({ name: 'garage', hash, publish: ['probes/one/#'], subscribe: ['quietkeg/+/state'] });
  log = keptLog();
  door = new UserBrokerDoor({ users, secrets, clock: new FakeClock(NOON), log: log.log, trustNetwork: false });
  const tls = { host: '127.0.0.1', port: 0, cert: TEST_CERTIFICATE, key: TEST_KEY };
  broker = new EmbeddedBroker({ host: '127.0.0.1', port: 0, door, tls });
  heard = [];
  clients = [];
  await broker.start(['#'], ({ topic }, done) => {
    heard.push(topic);
    done(null);
  });
});
afterEach(async () => {
  for (const client of clients) client.end(true);
  await broker.stop();
});

async function come(options: mqtt.IClientOptions = {}, url = `mqtt://127.0.0.1:${broker.port()}`): Promise<MqttClient> {
  const client = mqtt.connect(url, { reconnectPeriod: 0, protocolVersion: 4, ...options });
  clients.push(client);
  client.on('error', () => undefined);
  await new Promise<void>((resolve, reject) => {
    client.once('connect', () => resolve());
    client.once('error', reject);
    client.once('close', () => reject(new Error('closed')));
  });
  return client;
}
const closing = (client: MqttClient) => new Promise<void>((resolve) => client.once('close', () => resolve()));
const garage = { username: 'garage', password: PASSWORD };

describe('coming in', () => {
  test('without a name from this machine alone', async () => {
    await come();
    const visitor = { name: null, password: null, address: '192.168.7.9' };
    expect(await door.enter({ ...visitor, isLocal: false })).toBeNull();
    expect(await door.enter({ ...visitor, isLocal: true })).not.toBeNull();
  });

  test.each([
    { username: 'garage', password: 'wrong' },
    { username: 'garage' },
    { username: 'nobody', password: PASSWORD },
  ])('%j is refused, even here', async (options) => {
    await expect(come(options)).rejects.toMatchObject({ code: 5 });
  });

  test('wrong passwords make an address wait; one that was right before is not held up by it', async () => {
    const enter = (password: string) => door.enter({ name: 'garage', password, address: '10.0.0.1', isLocal: false });
    expect(await enter(PASSWORD)).not.toBeNull();
    for (let n = 0; n < 6; n += 1) expect(await enter('wrong')).toBeNull();
    expect(log.lines.filter((line) => /wrong name or password/.test(line))).toHaveLength(5);
    expect(await enter(PASSWORD)).not.toBeNull();
    expect(log.lines.join()).not.toContain(PASSWORD);
  });

  test('over TLS, with a certificate that is checked', async () => {
    const url = `mqtts://localhost:${broker.tlsPort()}`;
    const client = await come({ ...garage, ca: TEST_CERTIFICATE }, url);
    await client.publishAsync('probes/one/beer-temperature', '3', { qos: 1 });
    expect(heard).toEqual(['probes/one/beer-temperature']);
    await expect(come(garage, url)).rejects.toThrow(/self-signed certificate/);
  });
});

describe('what a user may do', () => {
  test.each(['probes/two/beer-temperature', 'other', 'quietkeg/one/state'])('not publish to %s', async (topic) => {
    const client = await come(garage);
    const closed = closing(client);
    client.publish(topic, '3', { qos: 1 }, () => undefined);
    await closed;
    expect(heard).toEqual([]);
  });

  test('nor leave a last will there', async () => {
    const client = await come({
      ...garage,
      will: { topic: 'probes/two/x', payload: Buffer.from('1'), qos: 1, retain: false },
    });
    client.stream.destroy();
    const other = await come(garage);
    await other.publishAsync('probes/one/x', '1', { qos: 1 });
    expect(heard).toEqual(['probes/one/x']);
  });

  test.each(['#', 'quietkeg/#', 'probes/one/#', '$share/g/quietkeg/one/state', '+/+/+'])(
    'not listen to %s',
    async (filter) => {
      const client = await come(garage);
      await expect(client.subscribeAsync(filter)).rejects.toThrow();
    },
  );

  test('listen where it is allowed', async () => {
    const client = await come(garage);
    const message = new Promise<[string]>((resolve) => client.once('message', (topic) => resolve([topic])));
    await client.subscribeAsync('quietkeg/one/state');
    broker.publish('quietkeg/one/state', '{}', true);
    expect((await message)[0]).toBe('quietkeg/one/state');
  });

  test('is over when the user is removed or set anew', async () => {
    const client = await come(garage);
    broker.putOut();
    await client.publishAsync('probes/one/x', '1', { qos: 1 });
    const closed = closing(client);
    users.remove('garage');
    broker.putOut();
    await closed;
    await expect(come(garage)).rejects.toMatchObject({ code: 5 });
  });
});

describe('limits', () => {
  test('so many subscriptions, and not one more', async () => {
    const client = await come();
    for (let n = 0; n < SUBSCRIPTIONS_MAX; n += 1) await client.subscribeAsync(`t/${n}`);
    await expect(client.subscribeAsync('t/more')).rejects.toThrow();
  });

  test('twenty levels of a topic, and not one more', async () => {
    const client = await come();
    await client.publishAsync(Array(20).fill('a').join('/'), '1', { qos: 1 });
    const closed = closing(client);
    client.publish(Array(21).fill('a').join('/'), '1', { qos: 1 }, () => undefined);
    await closed;
    expect(heard).toHaveLength(1);
  });

  test('a packet of the greatest size passes, one that announces a byte more ends the connection before it has come', async () => {
    const client = await come();
    const topic = 'probes/one/x';
    await client.publishAsync(topic, Buffer.alloc(PACKET_BYTES_MAX - 2 - topic.length - 2), { qos: 1 });
    expect(heard).toHaveLength(1);
    const socket = connect(broker.port() ?? 0, '127.0.0.1');
    let isClosed = false;
    socket.on('close', () => {
      isClosed = true;
    });
    const more = PACKET_BYTES_MAX + 1;
    socket.write(Buffer.from([0x30, (more & 127) | 128, ((more >> 7) & 127) | 128, more >> 14]));
    await until('the connection is closed', () => isClosed);
  });

  test('as many connections as there may be, silent ones too, and not one more; one that goes makes room', async () => {
    const silent = await Promise.all(
      Array.from({ length: CONNECTIONS_MAX - 1 }, async () => {
        const socket = connect(broker.port() ?? 0, '127.0.0.1');
        await once(socket, 'connect');
        return socket;
      }),
    );
    await come();
    await expect(come({ clientId: 'one-more' })).rejects.toThrow();
    // The other listener counts with it.
    await expect(
      come({ clientId: 'one-more-there', ca: TEST_CERTIFICATE }, `mqtts://localhost:${broker.tlsPort()}`),
    ).rejects.toThrow();
    const [first, ...others] = silent;
    first?.destroy();
    await until('there is room', () =>
      come({ clientId: 'later' }).then(
        () => true,
        () => false,
      ),
    );
    for (const socket of others) socket.destroy();
  });

  test('the meter counts packets however they are cut up', () => {
    const packets = Buffer.concat([
      Buffer.from([0xc0, 0]),
      Buffer.from([0x30, 0x81, 1]),
      Buffer.alloc(129),
      Buffer.from([0xc0, 0]),
    ]);
    for (const step of [1, 2, 3, 50, 1000]) {
      const meter = new PacketMeter(129);
      const strict = new PacketMeter(128);
      const parts = Array.from({ length: Math.ceil(packets.length / step) }, (_, n) =>
        packets.subarray(n * step, n * step + step),
      );
      expect(parts.every((part) => meter.pass(part))).toBe(true);
      expect(parts.every((part) => strict.pass(part))).toBe(false);
    }
    expect(new PacketMeter(1e9).pass(Buffer.from([0x30, 255, 255, 255, 255]))).toBe(false);
  });
});
