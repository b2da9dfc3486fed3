/**
 * Aim: from a probe to a person, with everything real: the program in a process of its own, Mosquitto, a mail server, an HTTP
 * receiver, a watcher. The service is killed in the middle.
 */
import type { AddressInfo } from 'node:net';
import mqtt from 'mqtt';
import { SMTPServer } from 'smtp-server';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { HttpSink } from '../support/http-sink.ts';
import { eventually, getJson, mosquittoPub } from './support/outside.ts';
import { type RunningProgram, startProgram, temporaryFolder } from './support/running-program.ts';
import { type RunningServer, startMosquitto } from './support/servers.ts';

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
let mosquitto: RunningServer;
let program: RunningProgram;
let watcher: HttpSink;
let receiver: HttpSink;
let mailServer: SMTPServer;
let client: mqtt.MqttClient;
let mails: string[];
let alerts: { topic: string; state: string; rule: string }[];

const start = () =>
  startProgram({
    folder: folder.path,
    environment: {
      QUIETKEG_MQTT_URL: `mqtt://127.0.0.1:${mosquitto.port}`,
      QUIETKEG_HEARTBEAT_URL: watcher.url('/beat'),
      QUIETKEG_HTTP_PUBLIC_URL: 'http://keg.example:8420/',
    },
  });

beforeEach(async () => {
  mails = [];
  alerts = [];
  folder = await temporaryFolder();
  mosquitto = await startMosquitto(folder.path);
  [watcher, receiver] = await Promise.all([HttpSink.open(), HttpSink.open()]);
  mailServer = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS', 'AUTH'],
    onData(stream, _session, done) {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk: Buffer) => chunks.push(chunk));
      stream.on('end', () => {
        mails.push(Buffer.concat(chunks).toString());
        done(null, 'queued');
      });
    },
  });
  await new Promise<void>((resolve) => mailServer.listen(0, '127.0.0.1', resolve));
  client = await mqtt.connectAsync(`mqtt://127.0.0.1:${mosquitto.port}`, { clientId: 'house', clean: false });
  client.on('message', (topic, payload) => alerts.push({ topic, ...JSON.parse(String(payload)) }));
  await client.subscribeAsync('quietkeg/+/alert', { qos: 1 });
  program = await start();
});
afterEach(async () => {
  await program.end('SIGKILL');
  await client.endAsync(true);
  await Promise.all([mosquitto.end('SIGKILL'), watcher.close(), receiver.close()]);
  await new Promise<void>((resolve) => mailServer.close(() => resolve()));
  await folder.remove();
});

async function put(path: string, body: object): Promise<void> {
  const headers = { 'content-type': 'application/json' };
  const answer = await fetch(`${program.address}api/v1/${path}`, {
    method: 'PUT',
    headers,
    body: JSON.stringify(body),
  });
  expect({ path, status: answer.status, ...(answer.ok ? {} : { told: await answer.text() }) }).toMatchObject({
    status: 200,
  });
}

/** A temperature some minutes ago, in the probe's own time. */
const beer = (celsius: number, minutesAgo: number) => {
  const time = new Date(Date.now() - minutesAgo * 60_000).toISOString();
  return mosquittoPub(
    { ...program, mqttPort: mosquitto.port },
    'probes/one/beer-temperature',
    JSON.stringify({ value: celsius, unit: 'Cel', time }),
  );
};
const reported = () => getJson<{ channels: { channelId: string; delivered: number }[] }>(program, 'api/v1/channels');

test('an alert reaches a person, a program and the broker once, and so does its end, though the service was killed between', async () => {
  const { port } = mailServer.server.address() as AddressInfo;
  await put('channels', {
    channels: [
      {
        kind: 'email',
        channelId: 'mail',
        name: 'Mail',
        host: '127.0.0.1',
        port,
        security: 'none',
        from: 'keg@club.example',
      },
      { kind: 'webhook', channelId: 'house', name: 'House', url: receiver.url('/hook'), program: true },
    ],
  });
  await put('people/anna', { name: 'Anna', ways: [{ channelId: 'mail', address: 'anna@club.example' }] });
  await put('kegs/one', { name: 'Harvest Amber' });
  await beer(1.5, 12);
  await beer(1.4, 1);
  await eventually(reported, ({ channels }) => channels.filter(({ delivered }) => delivered === 1).length === 3);
  await program.end('SIGKILL');
  program = await start();
  await beer(6, 0);
  await eventually(reported, ({ channels }) => channels.filter(({ delivered }) => delivered === 2).length === 3);
  await eventually(
    async () => alerts.length,
    (count) => count >= 2,
  );

  expect(mails).toHaveLength(2);
  expect(mails[0]).toMatch(/To: anna@club\.example/);
  expect(mails[0]).toMatch(/http:\/\/keg\.example:8420\/kegs\/one/);
  const hooks = receiver.heard.map(({ body }) => JSON.parse(String(body)));
  expect(hooks.map(({ type }) => type)).toEqual(['alert.begin', 'alert.end']);
  expect(hooks[0].data.text.length).toBeLessThanOrEqual(178);
  expect(alerts.map(({ topic, rule, state }) => [topic, rule, state])).toEqual([
    ['quietkeg/one/alert', 'cold-enough', 'active'],
    ['quietkeg/one/alert', 'cold-enough', 'ended'],
  ]);
}, 90_000);

test('a heartbeat is sent while a message finds its way through broker and store, and the canary is nobody’s probe', async () => {
  await eventually(
    async () => watcher.heard.length,
    (count) => count > 0,
  );
  expect(watcher.heard[0]).toMatchObject({ method: 'GET', url: '/beat' });
  const { probes, heard } = await getJson<{ probes: object[]; heard: object[] }>(program, 'api/v1/probes');
  expect([probes, heard]).toEqual([[], []]);
  expect(await getJson(program, 'api/v1/kegs')).toEqual({ kegs: [], suggestions: [] });
}, 60_000);
