/**
 * Aim: a broker elsewhere is reached over TLS with a certificate of one's own and a password from a file, and nothing is sent to
 * one that cannot prove who it is. Method: the program against Mosquitto, which checks both by its own means.
 */
import { execFile } from 'node:child_process';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import type { Delivery, KegState } from '../../src/contract/index.ts';
import { ANOTHER_CERTIFICATE, TEST_CERTIFICATE, TEST_KEY } from '../support/test-certificate.ts';
import { eventually, getJson } from './support/outside.ts';
import { type RunningProgram, startProgram, temporaryFolder } from './support/running-program.ts';
import { freePort, type RunningServer, startMosquitto } from './support/servers.ts';

const run = promisify(execFile);
const USER = 'quietkeg';
const PASSWORD = 'garage-broker-password';
let outside: Awaited<ReturnType<typeof temporaryFolder>>;
let inside: Awaited<ReturnType<typeof temporaryFolder>>;
let mosquitto: RunningServer;
let program: RunningProgram | null = null;
/** As Mosquitto tells that the service has come in. */
const CAME_IN = / as quietkeg \(/;
const file = (name: string) => join(outside.path, name);

beforeAll(async () => {
  outside = await temporaryFolder();
  await Promise.all([
    writeFile(file('ca.pem'), TEST_CERTIFICATE),
    writeFile(file('key.pem'), TEST_KEY),
    writeFile(file('another.pem'), ANOTHER_CERTIFICATE),
    // As an editor leaves it.
    writeFile(file('password'), `${PASSWORD}\n`),
    writeFile(file('wrong'), 'not-the-broker-password\n'),
  ]);
  await run('mosquitto_passwd', ['-b', '-c', file('users'), USER, PASSWORD]);
  mosquitto = await startMosquitto(outside.path, await freePort(), (settings) =>
    [
      settings.replace(/^allow_anonymous .*$/m, 'allow_anonymous false'),
      `password_file ${file('users')}`,
      `certfile ${file('ca.pem')}`,
      `keyfile ${file('key.pem')}`,
      `log_dest file ${file('log')}`,
    ].join('\n'),
  );
});
afterEach(async () => {
  await program?.end('SIGKILL');
  await inside.remove();
});
afterAll(async () => {
  await mosquitto.end('SIGKILL');
  await outside.remove();
});

async function start(change: Record<string, string> = {}): Promise<RunningProgram> {
  inside = await temporaryFolder();
  program = await startProgram({
    folder: inside.path,
    environment: {
      QUIETKEG_MQTT_URL: `mqtts://localhost:${mosquitto.port}`,
      QUIETKEG_MQTT_USER: USER,
      QUIETKEG_MQTT_PASSWORD_FILE: file('password'),
      QUIETKEG_MQTT_CA_FILE: file('ca.pem'),
      ...change,
    },
  });
  return program;
}

test('with the right certificate and password a reading comes in, and it is known that nobody else gets in', async () => {
  const running = await start();
  await eventually(
    () => getJson<{ broker: string | null }>(running, 'health/ready'),
    ({ broker }) => broker === null,
  );
  const place = [
    '-h',
    'localhost',
    '-p',
    String(mosquitto.port),
    '--cafile',
    file('ca.pem'),
    '-u',
    USER,
    '-P',
    PASSWORD,
  ];
  await run('mosquitto_pub', [...place, '-q', '1', '-t', 'probes/one/beer-temperature', '-m', '4.5']);
  await eventually(
    () => getJson<KegState>(running, 'api/v1/kegs/one/state'),
    ({ beerTemperatureC }) => beerTemperatureC === 4.5,
  );
  expect(running.written()).not.toContain(PASSWORD);
  const { stdout } = await run('mosquitto_sub', [...place, '-t', 'quietkeg/service', '-C', '1', '-W', '5']);
  expect(stdout.trim()).toBe('online');
  const anonymous = async () => {
    const { broker } = await getJson<Delivery>(running, 'api/v1/delivery');
    return JSON.stringify(broker.audit.find(({ name }) => name === 'anonymous'));
  };
  expect(await eventually(anonymous, (finding) => /"state":"good"/.test(finding ?? ''))).not.toContain(PASSWORD);
  // What the other tests look for in vain.
  await eventually(brokerLog, (log) => CAME_IN.test(log));
});

test.each<[string, Record<string, () => string>, RegExp]>([
  [
    'a certificate of somebody else',
    { QUIETKEG_MQTT_CA_FILE: () => file('another.pem') },
    /mqtt\.caFile does not vouch for its certificate/,
  ],
  [
    'the right certificate under another name',
    { QUIETKEG_MQTT_URL: () => `mqtts://127.0.0.1:${mosquitto.port}` },
    /its certificate is for another name; use that name in mqtt\.url/,
  ],
  [
    'a wrong password',
    { QUIETKEG_MQTT_PASSWORD_FILE: () => file('wrong') },
    /it refuses our name or password; look at mqtt\.user and mqtt\.passwordFile/,
  ],
])('with %s it stays out and says so', async (_what, change, words) => {
  const before = await brokerLog();
  const running = await start(Object.fromEntries(Object.entries(change).map(([name, value]) => [name, value()])));
  const health = async () => (await fetch(new URL('health/ready', running.address))).json();
  const { broker, status } = (await eventually(health, (answer) =>
    words.test((answer as { broker: string | null }).broker ?? ''),
  )) as { broker: string; status: string };
  expect(status).toBe('not-ready');
  expect(broker).not.toMatch(/password-|not-the-broker/);
  // The broker itself saw nobody come in meanwhile.
  expect((await brokerLog()).slice(before.length)).not.toMatch(CAME_IN);
});

test('without a certificate of ours one that is signed by nobody known is not believed', async () => {
  inside = await temporaryFolder();
  program = await startProgram({
    folder: inside.path,
    environment: { QUIETKEG_MQTT_URL: `mqtts://localhost:${mosquitto.port}` },
  });
  const { address } = program;
  const health = async () => (await fetch(new URL('health/ready', address))).json();
  await eventually(health, (answer) =>
    /nobody known vouches for its certificate/.test((answer as { broker: string | null }).broker ?? ''),
  );
});

/** What Mosquitto tells of connections; empty before the first. */
const brokerLog = () => readFile(file('log'), 'utf8').catch(() => '');
