/**
 * The whole service for weeks in an hour: npx node --expose-gc test/program/soak.ts [--minutes 60] [--calm]
 *
 * Its clock runs 60 times as fast; three kegs' probes publish once a minute of that clock, over real MQTT, into a data
 * folder on the disk. Unless `--calm`, the service is stopped and started again, connections break, the clock is set, the
 * store is locked by somebody else, and rubbish is published. Prints what is kept, lost, written to the disk, and how
 * memory, open files and episodes grow.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { parseArgs } from 'node:util';
import mqtt, { type MqttClient } from 'mqtt';
import { EmbeddedBroker } from '../../src/adapters/broker/embedded-broker.ts';
import { compose, type Parts } from '../../src/compose.ts';
import { loadSettings } from '../../src/config/load.ts';
import type { Clock } from '../../src/ports/clock.ts';

const SPEED = 60;
const { values: options } = parseArgs({ options: { minutes: { type: 'string' }, calm: { type: 'boolean' } } });
const REAL_MS = Number(options.minutes ?? 60) * 60_000;

/** Wall and timers 60 times as fast; only the wall can be set. */
class FastClock implements Clock {
  #stepMs = 0;
  readonly #startMs = Date.now();
  nowMs = () => Math.round(this.#startMs + this.#stepMs + performance.now() * SPEED);
  monotonicMs = () => performance.now() * SPEED;
  after(delayMs: number, run: () => void) {
    const timer = setTimeout(run, delayMs / SPEED);
    return () => clearTimeout(timer);
  }
  every(intervalMs: number, run: () => void) {
    const timer = setInterval(run, intervalMs / SPEED);
    return () => clearInterval(timer);
  }
  step(byMs: number) {
    this.#stepMs += byMs;
  }
}

const TOPICS = [
  ...['left', 'middle', 'right'].flatMap((keg) => [
    `probes/${keg}/beer-temperature`,
    `probes/${keg}/headspace-pressure`,
  ]),
  'probes/place/fridge/air-temperature',
];
const clock = new FastClock();
const folder = await mkdtemp(join(tmpdir(), 'quietkeg-soak-'));
const warned = new Map<string, number>();
const heard = (level: string) => (message: string) => {
  const key = `${level} ${message.replace(/\d+/g, 'N').slice(0, 100)}`;
  warned.set(key, (warned.get(key) ?? 0) + 1);
};
const log = { info: () => undefined, warn: heard('warn'), error: heard('error') };

async function start(): Promise<{ parts: Parts; port: number }> {
  const environment = { QUIETKEG_DATA: folder, QUIETKEG_MQTT_PORT: '0', QUIETKEG_ALTITUDE_M: '200' };
  const settings = loadSettings({ file: null, environment, flags: new Map(), demo: false });
  const parts = await compose({ settings, version: '0.0.0', clock, log });
  await parts.service.start();
  const port = parts.broker instanceof EmbeddedBroker ? parts.broker.port() : null;
  if (port === null) throw new Error('the broker does not listen');
  return { parts, port };
}

let { parts, port } = await start();
for (const keg of ['left', 'middle', 'right']) {
  parts.services.kegChanges.putKeg(keg, {});
  const at = new Date(clock.nowMs()).toISOString();
  parts.services.kegChanges.startBatch(keg, { name: `Soak ${keg}`, at, beerState: 'flat', probe: 'thermowell' });
}

const acknowledged: number[] = TOPICS.map(() => 0);
let client: MqttClient = connect();
function connect(): MqttClient {
  const made = mqtt.connect(`mqtt://127.0.0.1:${port}`, { reconnectPeriod: 50, queueQoSZero: false });
  made.on('error', () => undefined);
  return made;
}

let round = 0;
/** Values differ from one to the next, so that none passes for a duplicate. */
const publishing = setInterval(() => {
  round += 1;
  for (const [index, topic] of TOPICS.entries()) {
    const value = topic.endsWith('pressure') ? 78 : 3.5;
    const payload = (value + Math.sin(round / 50 + index) / 2 + (round % 10) / 1000).toFixed(4);
    if (!client.connected) continue;
    client.publish(topic, payload, { qos: 1 }, (error) => {
      if (error == null) acknowledged[index] = (acknowledged[index] ?? 0) + 1;
    });
  }
  if (!options.calm && round % 60 === 0) client.publish('probes/left/beer-temperature', 'rubbish', { qos: 1 });
}, 60_000 / SPEED);

const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
let restarts = 0;
const balances: string[] = [];
const faults = [
  async function restart() {
    client.end(true);
    await pause(200);
    const ledger = parts.services.ledger();
    await parts.http.server.close();
    await parts.service.stop();
    const { received, stored, duplicates, rejected, waiting } = ledger;
    if (received !== stored + duplicates + rejected + waiting) balances.push(JSON.stringify(ledger));
    await pause(500);
    ({ parts, port } = await start());
    restarts += 1;
    client = connect();
  },
  async function breakConnection() {
    client.stream.destroy();
  },
  async function setClockAhead() {
    clock.step(20 * 60_000);
  },
  async function rubbish() {
    for (let n = 0; n < 500; n += 1)
      client.publish(`probes/k${n % 50}/${'x/'.repeat(n % 20)}y`, '\u0000[{]', { qos: 0 });
  },
  async function setClockBack() {
    clock.step(-20 * 60_000);
  },
  async function lockStore() {
    const other = new DatabaseSync(join(folder, 'readings.sqlite'));
    other.exec('begin immediate');
    await pause(1500);
    other.exec('rollback');
    other.close();
  },
];

const bytesWritten = () => Number(/^write_bytes: (\d+)/m.exec(readFileSync('/proc/self/io', 'utf8'))?.[1] ?? 0);
const writtenAtStart = bytesWritten();
const began = performance.now();
function report() {
  globalThis.gc?.();
  const { rss, heapUsed } = process.memoryUsage();
  const kept = parts.services.desk.recent(10_000);
  const episodes = Map.groupBy(kept, ({ rule, state }) => `${rule} ${state}`);
  const days = ((performance.now() - began) * SPEED) / 86_400_000;
  console.log(
    JSON.stringify({
      days: Number(days.toFixed(2)),
      rssMb: Math.round(rss / 1e6),
      heapMb: Math.round(heapUsed / 1e6),
      openFiles: readdirSync('/proc/self/fd').length,
      episodes: Object.fromEntries([...episodes].map(([name, found]) => [name, found.length])),
      restarts,
      acknowledged: acknowledged.reduce((a, b) => a + b, 0),
      writtenMbPerDay: Number(((bytesWritten() - writtenAtStart) / 1e6 / days).toFixed(2)),
    }),
  );
}
for (let n = 0; performance.now() - began < REAL_MS; n += 1) {
  await pause(Math.min(60_000, REAL_MS));
  if (!options.calm) await faults[n % faults.length]?.();
  if (n % 5 === 4) report();
}
clearInterval(publishing);
await pause(3000);
report();
console.log('last ledger', JSON.stringify(parts.services.ledger()), 'unbalanced', JSON.stringify(balances));
await parts.http.server.close();
await parts.service.stop();
client.end(true);
const database = new DatabaseSync(join(folder, 'readings.sqlite'), { readOnly: true });
for (const [index, topic] of TOPICS.entries()) {
  const id = topic.replace('probes/', '').replaceAll('/', '.');
  const key = database.prepare('select key from probe where id = ?').get(id)?.key ?? -1;
  const kept = ['reading', 'incoming']
    .map((table) => Number(database.prepare(`select count(*) as n from ${table} where probe = ?`).get(key)?.n))
    .reduce((a, b) => a + b, 0);
  console.log(`${topic}: ${acknowledged[index]} acknowledged, ${kept} kept`);
}
database.close();
console.log('warnings', JSON.stringify(Object.fromEntries(warned), null, 1));
await rm(folder, { recursive: true });
process.exit(0);
