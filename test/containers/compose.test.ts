import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import mqtt from 'mqtt';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { run } from './support/command.ts';
import { ComposeProject } from './support/compose.ts';
import { type Docker, useDocker } from './support/docker.ts';
import { influxImage, mosquittoImage } from './support/images.ts';
import { LiveFrames } from './support/live-frames.ts';
import { PROJECT, serviceImage } from './support/service-image.ts';

/**
 * docker-compose.yml brought up as a user would, with broker, store and service each in its container: what a probe
 * publishes shows in the API, on the live connection and in the store.
 */

let docker: Docker;
let compose: ComposeProject;
let address = '';
let broker = '';

beforeAll(async () => {
  docker = await useDocker();
  compose = new ComposeProject(`quietkeg-test-${process.pid}`, {
    QUIETKEG_MOSQUITTO_IMAGE: await mosquittoImage(),
    QUIETKEG_INFLUX_IMAGE: await influxImage(),
    QUIETKEG_IMAGE: await serviceImage(),
    // 0 lets the system choose, so that nothing else on this machine is in the way.
    QUIETKEG_PUBLISHED_HTTP_PORT: '0',
    QUIETKEG_PUBLISHED_MQTT_PORT: '0',
  });
  await compose.up();
  address = await compose.published('quietkeg', 8420);
  broker = await compose.published('mosquitto', 1883);
});

afterAll(async () => {
  await compose?.down();
  await docker?.stop();
});

const get = async (path: string) => (await fetch(`http://${address}${path}`)).json();

test('the service comes up healthy, as its own health check sees it', async () => {
  await expect
    .poll(() => inspect('quietkeg', '{{.State.Health.Status}}'), { timeout: 60_000, interval: 500 })
    .toBe('healthy');
  expect((await fetch(`http://${address}/health/ready`)).status).toBe(200);
  expect(await (await fetch(`http://${address}/`)).text()).toMatch(/<!doctype html>/i);
});

test('what a probe publishes reaches the state, the live connection and the store', async () => {
  const keg = { name: 'Left keg', capacityL: 19 };
  const put = await fetch(`http://${address}/api/v1/kegs/one`, {
    method: 'PUT',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(keg),
  });
  expect(put.ok).toBe(true);
  const probe = await mqtt.connectAsync(`mqtt://${broker}`);
  await probe.publishAsync('probes/one/beer-temperature', '4.1', { qos: 1 });
  await probe.publishAsync('probes/one/headspace-pressure', '{"value":0.83,"unit":"bar"}', { qos: 1 });
  await expect
    .poll(() => get('/api/v1/kegs/one/state'), { timeout: 30_000, interval: 250 })
    .toMatchObject({ kegId: 'one', beerTemperatureC: 4.1, headspaceKpaGauge: 83 });

  const live = new LiveFrames(`ws://${address}/api/v1/live`);
  expect(await live.next((frame) => frame.type === 'hello')).toMatchObject({ protocol: 1 });
  const snapshot = await live.next((frame) => frame.type === 'snapshot');
  expect(snapshot).toMatchObject({ kegs: [{ kegId: 'one', beerTemperatureC: 4.1 }] });
  await probe.publishAsync('probes/one/beer-temperature', '3.9', { qos: 1 });
  const change = await live.next((frame) => frame.type === 'keg' && JSON.stringify(frame).includes('3.9'));
  expect(change).toMatchObject({ state: { kegId: 'one', beerTemperatureC: 3.9 } });
  live.close();
  await probe.endAsync();

  await expect.poll(storedValues, { timeout: 30_000, interval: 500 }).toMatch(/4\.1\b.*3\.9\b/);
});

test('what was published while the service was away is not lost', async () => {
  await compose.run('stop', 'quietkeg');
  const probe = await mqtt.connectAsync(`mqtt://${broker}`);
  await probe.publishAsync('probes/one/beer-temperature', '2.2', { qos: 1 });
  await probe.endAsync();
  await compose.run('start', 'quietkeg');
  address = await compose.published('quietkeg', 8420);
  await expect
    .poll(() => get('/api/v1/kegs/one/state').catch(() => null), { timeout: 60_000, interval: 500 })
    .toMatchObject({ beerTemperatureC: 2.2 });
});

test('while the store is away the service goes on, and catches up when it is back', async () => {
  await compose.run('stop', 'influxdb');
  const probe = await mqtt.connectAsync(`mqtt://${broker}`);
  await probe.publishAsync('probes/one/beer-temperature', '1.7', { qos: 1 });
  await probe.endAsync();
  await expect
    .poll(() => get('/api/v1/kegs/one/state'), { timeout: 30_000, interval: 250 })
    .toMatchObject({ beerTemperatureC: 1.7 });
  await compose.run('start', 'influxdb');
  await expect.poll(() => storedValues().catch(() => ''), { timeout: 120_000, interval: 1000 }).toMatch(/\b1\.7\b/);
}, 180_000);

test('the service runs as a user without rights on a file system it cannot change', async () => {
  expect(await compose.run('exec', '-T', 'quietkeg', 'id', '-u')).toBe('8420');
  expect(await inspect('quietkeg', '{{.HostConfig.ReadonlyRootfs}} {{.HostConfig.CapDrop}}')).toBe('true [ALL]');
  const write = compose.run('exec', '-T', 'quietkeg', 'sh', '-c', 'touch /app/src/main.ts');
  await expect(write).rejects.toThrow(/Read-only|Permission/);
});

test('nothing is published to other machines', async () => {
  expect(address).toMatch(/^127\.0\.0\.1:\d+$/);
  expect(broker).toMatch(/^127\.0\.0\.1:\d+$/);
  // Some versions call a port that is not published an error, some answer with nothing.
  expect(await compose.published('influxdb', 8086).catch(() => '')).not.toMatch(/:[1-9]/);
});

test('no development package is in the image', async () => {
  const lock: { packages: Record<string, { dev?: boolean }> } = JSON.parse(
    readFileSync(join(PROJECT, 'package-lock.json'), 'utf8'),
  );
  const all = Object.keys(lock.packages).filter((path) => path !== '');
  const development = all.filter((path) => lock.packages[path]?.dev === true);
  const present = async (paths: readonly string[]) => {
    const script = 'for path; do [ ! -e "/app/$path/package.json" ] || echo "$path"; done';
    return (await compose.run('exec', '-T', 'quietkeg', 'sh', '-c', script, 'sh', ...paths)).split('\n');
  };
  expect(development.length).toBeGreaterThan(50);
  expect(await present(development)).toEqual(['']);
  expect(await present(all)).toContain('node_modules/fastify');
});

/** What the store holds, past the service. */
async function storedValues(): Promise<string> {
  const ask = ['exec', '-T', 'influxdb', 'influx', '-database', 'quietkeg', '-format', 'json', '-execute'];
  return compose.run(...ask, 'SELECT value FROM reading');
}

async function inspect(service: string, format: string): Promise<string> {
  return run('docker', ['inspect', '--format', format, await compose.run('ps', '--quiet', service)]);
}
