import { execFileSync } from 'node:child_process';
import { mkdirSync, rmSync, statfsSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { aBench, ready } from './support/bench.ts';
import { influxStore, lookUpNumbers, sqliteStore } from './support/kept-numbers.ts';
import type { NumberedPublisher } from './support/numbered-publisher.ts';
import { eventually, getJson } from './support/outside.ts';
import { startProgram } from './support/running-program.ts';
import { freePort, startInfluxd, startMosquitto } from './support/servers.ts';
import { metric, metricsOf, settled } from './support/settled.ts';

/** What the service loses while a part around it is away: nothing that was acknowledged. */

/** Half an hour at 20 readings a second, as fast as it can be sent. */
const TRAFFIC = { readings: 36_000, stepMs: 50 };
const CATCH_UP_MS_MAX = 120_000;

const bench = aBench();

const untilAcknowledged = (publisher: NumberedPublisher, count: number, msMax: number) =>
  eventually(
    async () => publisher.acknowledged.size,
    (size) => size >= count,
    msMax,
  );

test('a database that stands still and is then killed costs nothing of half an hour, and is caught up with in two minutes', {
  timeout: 300_000,
}, async () => {
  let influxd = await bench.server(startInfluxd(bench.folder));
  const port = await freePort();
  const program = await bench.program({
    QUIETKEG_MQTT_PORT: String(port),
    QUIETKEG_INFLUX_URL: `http://127.0.0.1:${influxd.port}`,
  });
  await ready(program);
  const publisher = bench.publisher(port, TRAFFIC.stepMs);
  for (let n = 0; n < 100; n += 1) publisher.publish();
  await settled(publisher, program);
  influxd.freeze();
  publisher.run(3000);
  await untilAcknowledged(publisher, TRAFFIC.readings / 2, 120_000);
  await influxd.end('SIGKILL');
  await untilAcknowledged(publisher, TRAFFIC.readings, 120_000);
  publisher.pause();
  // The live view never noticed: the newest reading is shown while all of them wait.
  expect(metric(await metricsOf(program), 'quietkeg_values_waiting')).toBeGreaterThan(30_000);
  expect(metric(await metricsOf(program), 'quietkeg_part_works{part="store"}')).toBe(0);
  influxd = await bench.server(startInfluxd(bench.folder, influxd.port));
  const began = performance.now();
  await settled(publisher, program, CATCH_UP_MS_MAX);
  console.log(`caught up with ${publisher.sent} readings in ${Math.round(performance.now() - began)} ms`);
  await program.end('SIGTERM');
  const found = await lookUpNumbers(influxStore(influxd.port), publisher);
  expect(found).toMatchObject({ lost: [], doubled: [], wrong: [], kept: publisher.sent });
});

test('a broker that is killed and started again with the shipped settings costs nothing that it acknowledged', {
  timeout: 120_000,
}, async () => {
  let mosquitto = await bench.server(startMosquitto(bench.folder));
  const { port } = mosquitto;
  const program = await bench.program({ QUIETKEG_MQTT_URL: `mqtt://127.0.0.1:${port}` });
  await ready(program);
  const publisher = bench.publisher(port);
  publisher.run(20);
  for (let kill = 1; kill <= 5; kill += 1) {
    await untilAcknowledged(publisher, publisher.acknowledged.size + 30, 20_000);
    await mosquitto.end('SIGKILL');
    mosquitto = await bench.server(startMosquitto(bench.folder, port));
  }
  publisher.pause();
  await settled(publisher, program);
  await program.end('SIGTERM');
  const found = await lookUpNumbers(sqliteStore(bench.folder), publisher);
  expect(found).toMatchObject({ lost: [], doubled: [], wrong: [], kept: publisher.sent });
});

test('a full disk: no acknowledgement, not ready, an alert; and nothing is lost when there is room again', {
  timeout: 120_000,
}, async () => {
  const disk = smallDisk();
  const port = await freePort();
  const program = await startProgram({ folder: disk, environment: { QUIETKEG_MQTT_PORT: String(port) } });
  bench.undo(() => program.end('SIGKILL'));
  await ready(program);
  const publisher = bench.publisher(port);
  publisher.run(300);
  await untilAcknowledged(publisher, 300, 20_000);
  const filler = join(disk, 'filler');
  fill(disk, filler);
  const health = () => fetch(new URL('health/ready', program.address));
  const spoolTrouble = async () => ((await (await health()).json()) as { spool: string | null }).spool ?? '';
  await eventually(spoolTrouble, (trouble) => /ENOSPC/.test(trouble));
  expect((await health()).status).toBe(503);
  const alerts = () => getJson<{ alerts: { rule: string; level: string }[] }>(program, 'api/v1/alerts?open=true');
  await eventually(alerts, (answer) =>
    answer.alerts.some(({ rule, level }) => rule === 'readings-not-kept' && level === 'urgent'),
  );
  const before = publisher.acknowledged.size;
  await new Promise((resolve) => setTimeout(resolve, 2000));
  expect(publisher.acknowledged.size).toBe(before);
  expect(publisher.sent).toBeGreaterThan(before);
  rmSync(filler);
  await ready(program);
  await untilAcknowledged(publisher, before + 300, 20_000);
  await eventually(alerts, (answer) => answer.alerts.every(({ rule }) => rule !== 'readings-not-kept'));
  publisher.pause();
  await settled(publisher, program);
  await program.end('SIGTERM');
  const found = await lookUpNumbers(sqliteStore(disk), publisher);
  expect(found).toMatchObject({ lost: [], doubled: [], wrong: [], kept: publisher.sent });
});

test('a full disk while the broker is elsewhere: it keeps what we do not acknowledge until there is room', {
  timeout: 120_000,
}, async () => {
  const disk = smallDisk();
  const mosquitto = await bench.server(startMosquitto(bench.folder));
  const environment = { QUIETKEG_MQTT_URL: `mqtt://127.0.0.1:${mosquitto.port}` };
  const program = await startProgram({ folder: disk, environment });
  bench.undo(() => program.end('SIGKILL'));
  await ready(program);
  const publisher = bench.publisher(mosquitto.port);
  publisher.run(200);
  await untilAcknowledged(publisher, 200, 20_000);
  const filler = join(disk, 'filler');
  fill(disk, filler);
  const health = async () => {
    const response = await fetch(new URL('health/ready', program.address));
    return (await response.json()) as { spool: string | null };
  };
  await eventually(health, ({ spool }) => /ENOSPC/.test(spool ?? ''));
  await untilAcknowledged(publisher, publisher.acknowledged.size + 400, 20_000);
  rmSync(filler);
  await ready(program);
  publisher.pause();
  await settled(publisher, program);
  await program.end('SIGTERM');
  const found = await lookUpNumbers(sqliteStore(disk), publisher);
  expect(found).toMatchObject({ lost: [], doubled: [], wrong: [], kept: publisher.sent });
});

/** A disk of 24 MiB in memory. */
function smallDisk(): string {
  const disk = join(bench.folder, 'disk');
  mkdirSync(disk);
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=24m', 'tmpfs', disk]);
  } catch (error) {
    throw new Error('a small disk takes the right to mount; run the tests as root', { cause: error });
  }
  bench.undo(() => execFileSync('umount', [disk]));
  return disk;
}

/** Takes all room that there is, so that not a page is left. */
function fill(disk: string, filler: string): void {
  for (let left = 1; left > 0; ) {
    const { bavail, bsize } = statfsSync(disk);
    left = bavail * bsize;
    try {
      if (left > 0) writeFileSync(filler, Buffer.alloc(left), { flag: 'a' });
    } catch {
      return;
    }
  }
}
