/**
 * Requests to every route of the OpenAPI document and messages on any topic, for a long time:
 *   unshare --net sh -c 'ip link set lo up; npx node --expose-gc test/program/fuzz.ts [200000] [seed]'
 *
 * The whole service runs in this process, on a data folder of its own; messages come over MQTT. It may set up channels to
 * any address, so it belongs into a network of its own, as above. Ends with 1 if an answer was a mistake of ours, something
 * was thrown that nobody caught, a value is unaccounted for, or memory kept growing.
 */
import { mkdtemp, rm } from 'node:fs/promises';
import { networkInterfaces, tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import mqtt from 'mqtt';
import { EmbeddedBroker } from '../../src/adapters/broker/embedded-broker.ts';
import { systemClock } from '../../src/adapters/clock/system-clock.ts';
import { compose } from '../../src/compose.ts';
import { secretBook } from '../../src/compose-ops.ts';
import { loadSettings } from '../../src/config/load.ts';
import { TOPIC_LENGTH_MAX, TOPIC_LEVELS_MAX } from '../../src/domain/access/topic-rule.ts';
import { anyPayload } from '../support/hostile-payloads.ts';
import { anyTopic, requestsOf } from '../support/openapi-requests.ts';

const total = Number(process.argv[2] ?? 200_000);
const seed = Number(process.argv[3] ?? 1);
const PORTION = 250;
/** Growth of the heap between the half and the end that is still called flat (MB). */
const GROWTH_MB_MAX = 60;

if (
  Object.values(networkInterfaces())
    .flat()
    .some((one) => one?.internal === false)
) {
  console.error('this machine has a network: run it in one of its own, see the head of this file');
  process.exit(2);
}
const uncaught: string[] = [];
for (const kind of ['uncaughtException', 'unhandledRejection'] as const) {
  process.on(kind, (error: unknown) =>
    uncaught.push(`${kind}: ${error instanceof Error ? error.stack : String(error)}`),
  );
}
const folder = await mkdtemp(join(tmpdir(), 'quietkeg-fuzz-'));
const logged = new Map<string, number>();
const heard = (level: string) => (message: string) => {
  const key = `${level} ${message.replace(/\d+/g, 'N').slice(0, 160)}`;
  if (logged.size < 500) logged.set(key, (logged.get(key) ?? 0) + 1);
};
const environment = { QUIETKEG_DATA: folder, QUIETKEG_MQTT_PORT: '0' };
const settings = loadSettings({ file: null, environment, flags: new Map(), demo: false });
const log = { info: () => undefined, warn: heard('warn'), error: heard('error') };
const { http, service, broker, services, door } = await compose({
  settings,
  version: '0.0.0',
  clock: systemClock,
  log,
  secrets: secretBook(settings),
});
// As its own commands come in: a request that sets a passphrase must not shut out all that follow.
const authorization = `Bearer ${door.localKey}`;
await service.start();
const port = broker instanceof EmbeddedBroker ? broker.port() : null;
const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${port}`, { reconnectPeriod: 20 });
client.on('error', () => undefined);

const document = (await http.server.inject({ method: 'GET', url: '/api/v1/openapi.json' })).json();
const requests = requestsOf(document);
const reading = fc.double({ min: -5, max: 120, noNaN: true }).map((value) => Buffer.from(value.toFixed(2)));
const answered = new Map<number, number>();
const mistakes: string[] = [];
const memory: { done: number; heapMb: number; rssMb: number }[] = [];
let published = 0;
let done = 0;
const began = performance.now();
for (let portion = 0; done < total; portion += 1) {
  const options = { numRuns: PORTION, seed: seed * 1_000_003 + portion };
  const topics = fc.sample(fc.tuple(anyTopic, fc.oneof(anyPayload, reading)), options);
  for (const [index, request] of fc.sample(requests, options).entries()) {
    const headers = { ...request.headers, authorization };
    const { statusCode, body } = await http.server.inject({ ...request, headers });
    answered.set(statusCode, (answered.get(statusCode) ?? 0) + 1);
    // 503 says that a part does not answer, or that too much is asked at once: that is meant.
    if (statusCode >= 500 && statusCode !== 503)
      mistakes.push(`${request.method} ${request.url} ${request.payload?.slice(0, 300)} → ${body}`);
    const [topic, payload] = topics[index] ?? ['', Buffer.alloc(0)];
    done += 2;
    // The client refuses these itself, before they reach the broker.
    if (
      topic === '' ||
      ['+', '#', '\u0000'].some((sign) => topic.includes(sign)) ||
      !topic.isWellFormed() ||
      topic.startsWith('quietkeg/')
    )
      continue;
    // Too long or deep a topic ends the connection, and at QoS 1 the client would send it again for ever.
    const isTaken = topic.length <= TOPIC_LENGTH_MAX && topic.split('/').length <= TOPIC_LEVELS_MAX;
    const qos = index % 2 === 0 && isTaken ? 1 : 0;
    client.publish(topic, payload, { qos }, () => undefined);
    published += 1;
  }
  // As fast as the broker answers, so that what is published is tried as well.
  await client.publishAsync('probes/fuzz/beer-temperature', String(portion % 30), { qos: 1 });
  if (portion % 40 !== 0) continue;
  globalThis.gc?.();
  const { heapUsed, rss } = process.memoryUsage();
  memory.push({ done, heapMb: Math.round(heapUsed / 1e6), rssMb: Math.round(rss / 1e6) });
  console.log(
    JSON.stringify({
      ...memory.at(-1),
      seconds: Math.round((performance.now() - began) / 1000),
      mistakes: mistakes.length,
    }),
  );
}
for (let waits = 0; waits < 600 && services.ledger().waiting > 0; waits += 1)
  await new Promise((resolve) => setTimeout(resolve, 100));
const ledger = services.ledger();
const balanced = ledger.received === ledger.stored + ledger.duplicates + ledger.rejected + ledger.waiting;
const half = memory[Math.floor(memory.length / 2)];
const grownMb = (memory.at(-1)?.heapMb ?? 0) - (half?.heapMb ?? 0);
console.log('answers', JSON.stringify(Object.fromEntries([...answered].toSorted(([a], [b]) => a - b))));
console.log(
  'published',
  published,
  'ledger',
  JSON.stringify(ledger),
  'balanced',
  balanced,
  'heap grown since half (MB)',
  grownMb,
);
console.log('log', JSON.stringify(Object.fromEntries(logged), null, 1));
for (const mistake of [...new Set(mistakes)].slice(0, 20)) console.log('MISTAKE', mistake);
for (const error of uncaught.slice(0, 20)) console.log('UNCAUGHT', error);
client.end(true);
await http.server.close();
await service.stop();
await rm(folder, { recursive: true });
if (ledger.received < total / PORTION / 2) console.log('hardly a message was received: nothing was tried');
process.exit(
  ledger.received < total / PORTION / 2 ||
    mistakes.length > 0 ||
    uncaught.length > 0 ||
    !balanced ||
    grownMb > GROWTH_MB_MAX
    ? 1
    : 0,
);
