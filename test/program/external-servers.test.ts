import { execFile } from 'node:child_process';
import { promisify } from 'node:util';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Curve, KegState } from '../../src/contract/index.ts';
import { eventually, getJson, mosquittoPub } from './support/outside.ts';
import { type RunningProgram, startProgram, temporaryFolder } from './support/running-program.ts';
import { type RunningServer, startInfluxd, startMosquitto } from './support/servers.ts';

/** The program with Mosquitto and InfluxDB of the machine instead of the embedded broker and store. */

const run = promisify(execFile);
let folder: Awaited<ReturnType<typeof temporaryFolder>>;
let mosquitto: RunningServer;
let influxd: RunningServer;
let program: RunningProgram;

const start = () =>
  startProgram({
    folder: folder.path,
    environment: {
      QUIETKEG_MQTT_URL: `mqtt://127.0.0.1:${mosquitto.port}`,
      QUIETKEG_INFLUX_URL: `http://127.0.0.1:${influxd.port}`,
    },
  });

/** Publishes at QoS 1 to Mosquitto itself. */
const publish = (topic: string, payload: string) =>
  mosquittoPub({ ...program, mqttPort: mosquitto.port }, topic, payload);
const ready = () =>
  eventually(
    () => getJson<{ status: string }>(program, 'health/ready'),
    ({ status }) => status === 'ready',
  );
/** The one message that Mosquitto keeps of a topic. */
const retained = async (topic: string) => {
  const args = ['-h', '127.0.0.1', '-p', String(mosquitto.port), '-t', topic, '-C', '1', '-W', '5'];
  return (await run('mosquitto_sub', args)).stdout.trim();
};
const temperatures = async () => {
  const curve = await getJson<Curve>(program, 'api/v1/kegs/one/curve?points=2000');
  return curve.columns.beerTemperatureC;
};

beforeEach(async () => {
  folder = await temporaryFolder();
  [mosquitto, influxd] = await Promise.all([startMosquitto(folder.path), startInfluxd(folder.path)]);
  program = await start();
  await ready();
});
afterEach(async () => {
  await program.end('SIGKILL');
  await Promise.all([mosquitto.end('SIGKILL'), influxd.end('SIGKILL')]);
  await folder.remove();
});

test('messages that came while the service was killed are read when it is back, and it says so to the broker', async () => {
  await publish('probes/one/beer-temperature', '4.5');
  await eventually(
    () => getJson<KegState>(program, 'api/v1/kegs/one/state'),
    (s) => s.beerTemperatureC === 4.5,
  );
  expect(await retained('quietkeg/service')).toBe('online');
  await program.end('SIGKILL');
  expect(await retained('quietkeg/service')).toBe('offline');
  await publish('probes/one/beer-temperature', '3.5');
  program = await start();
  await eventually(
    () => getJson<KegState>(program, 'api/v1/kegs/one/state'),
    (s) => s.beerTemperatureC === 3.5,
  );
  const { min, max } = await eventually(temperatures, (t) => Math.min(...t.min.map(Number)) === 3.5);
  expect(Math.max(...max.map(Number))).toBe(4.5);
  expect(min.every((value) => value !== 0)).toBe(true);
  expect(await retained('quietkeg/service')).toBe('online');
  const told = JSON.parse(await retained('quietkeg/one/state'));
  expect(told).toMatchObject({ kegId: 'one', beerTemperatureC: 3.5 });
});

test('a store that is away is told, the live view goes on, and nothing is lost when it is back', async () => {
  await influxd.end('SIGKILL');
  for (const value of ['5', '4', '3']) await publish('probes/one/beer-temperature', value);
  await eventually(
    () => getJson<KegState>(program, 'api/v1/kegs/one/state'),
    (s) => s.beerTemperatureC === 3,
  );
  const health = () => fetch(new URL('health/ready', program.address)).then((response) => response.json());
  await eventually(health, (answer) => /does not take readings/.test((answer as { store: string | null }).store ?? ''));
  influxd = await startInfluxd(folder.path, influxd.port);
  const { min, max } = await eventually(temperatures, (t) => t.min.some((value) => value === 3));
  expect([Math.min(...min.map(Number)), Math.max(...max.map(Number))]).toEqual([3, 5]);
});
