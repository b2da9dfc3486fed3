import { join } from 'node:path';
import mqtt, { type MqttClient } from 'mqtt';
import { GenericContainer, getContainerRuntimeClient, type StartedTestContainer } from 'testcontainers';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Docker, useDocker } from './support/docker.ts';
import { mosquittoImage } from './support/images.ts';

/**
 * The broker's configuration that we ship, on a real Mosquitto: readings that arrive while the service is away must
 * outlast a broker that is killed. The same scene with the broker's own defaults shows that the test sees a loss.
 */

const SHIPPED = join(import.meta.dirname, '../../deploy/mosquitto/mosquitto.conf');
const MESSAGES = 1500;

let docker: Docker;
const containers: StartedTestContainer[] = [];
const clients: MqttClient[] = [];

beforeAll(async () => {
  docker = await useDocker();
});

afterAll(async () => {
  for (const client of clients) client.end(true);
  for (const container of containers) await container.stop();
  await docker?.stop();
});

/** A broker whose port is asked for anew, because a restart moves it. */
class Broker {
  readonly #container: StartedTestContainer;

  constructor(container: StartedTestContainer) {
    this.#container = container;
  }

  async url(): Promise<string> {
    const { NetworkSettings } = await (await this.#runtime()).inspect();
    return `mqtt://127.0.0.1:${NetworkSettings.Ports['1883/tcp']?.[0]?.HostPort}`;
  }

  async killAndStart(): Promise<void> {
    const runtime = await this.#runtime();
    await runtime.kill({ signal: 'SIGKILL' });
    await runtime.wait();
    await runtime.start();
  }

  async #runtime() {
    return (await getContainerRuntimeClient()).container.getById(this.#container.getId());
  }
}

async function startBroker(configuration: { path: string } | { text: string }): Promise<Broker> {
  const target = '/mosquitto/config/mosquitto.conf';
  const image = new GenericContainer(await mosquittoImage()).withExposedPorts(1883);
  const configured =
    'path' in configuration
      ? image.withBindMounts([{ source: configuration.path, target, mode: 'ro' }])
      : image.withCopyContentToContainer([{ content: configuration.text, target, mode: 0o644 }]);
  const container = await configured.start();
  containers.push(container);
  return new Broker(container);
}

function connect(url: string, clientId: string, onMessage: (payload: string) => void = () => {}): MqttClient {
  const client = mqtt.connect(url, {
    clientId,
    protocolVersion: 5,
    clean: false,
    properties: { sessionExpiryInterval: 86_400 },
    reconnectPeriod: 200,
  });
  // Before connecting: what waits in the session comes at once.
  client.on('message', (_, payload) => onMessage(payload.toString()));
  client.on('error', () => {});
  clients.push(client);
  return client;
}

const connected = (client: MqttClient) => new Promise<void>((done) => client.once('connect', () => done()));

/** The service subscribes and goes away; a probe publishes, each message acknowledged by the broker. */
async function publishToAbsentService(broker: Broker): Promise<void> {
  const url = await broker.url();
  const service = connect(url, 'service');
  await connected(service);
  await service.subscribeAsync('probes/#', { qos: 1 });
  await service.endAsync();
  const probe = connect(url, 'probe');
  await connected(probe);
  const sent = Array.from({ length: MESSAGES }, (_, i) =>
    probe.publishAsync('probes/one/beer-temperature', String(i), { qos: 1 }),
  );
  await Promise.all(sent);
  probe.end(true);
}

/** Comes back as the service and collects what waited, until a message sent after it has come too. */
async function collect(broker: Broker): Promise<Set<string>> {
  const url = await broker.url();
  const heard = new Set<string>();
  let last = () => {};
  const isComplete = new Promise<void>((done) => {
    last = done;
  });
  const service = connect(url, 'service', (payload) => {
    if (payload === 'last') last();
    else heard.add(payload);
  });
  await connected(service);
  const probe = connect(url, 'late-probe');
  await connected(probe);
  await probe.publishAsync('probes/one/beer-temperature', 'last', { qos: 1 });
  await isComplete;
  return heard;
}

test('the shipped configuration keeps every reading for an absent service through kill -9', async () => {
  const broker = await startBroker({ path: SHIPPED });
  await publishToAbsentService(broker);
  await broker.killAndStart();
  expect((await collect(broker)).size).toBe(MESSAGES);
});

test("the broker's own defaults drop what is beyond 1,000, and everything when killed", async () => {
  const text = 'listener 1883\nallow_anonymous true\npersistence true\npersistence_location /mosquitto/data/\n';
  const broker = await startBroker({ text });
  await publishToAbsentService(broker);
  const kept = (await collect(broker)).size;
  // 1,000 queued, and 20 more where a version counts those in flight apart.
  expect(kept).toBeGreaterThanOrEqual(1000);
  expect(kept).toBeLessThanOrEqual(1020);
  await publishToAbsentService(broker);
  await broker.killAndStart();
  const url = await broker.url();
  const service = mqtt.connect(url, { clientId: 'service', clean: false, protocolVersion: 5, reconnectPeriod: 200 });
  clients.push(service);
  const session = await new Promise<boolean>((done) =>
    service.once('connect', (packet) => done(packet.sessionPresent)),
  );
  expect(session).toBe(false);
});
