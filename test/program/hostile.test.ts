import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import mqtt from 'mqtt';
import { expect, test } from 'vitest';
import { anyPayload } from '../support/hostile-payloads.ts';
import { lookUpNumbers, sqliteStore } from './support/kept-numbers.ts';
import { NumberedPublisher } from './support/numbered-publisher.ts';
import { getJson } from './support/outside.ts';
import { type RunningProgram, startProgram, temporaryFolder } from './support/running-program.ts';
import { metric, metricsOf, settled } from './support/settled.ts';

const HOSTILE = 200_000;
/** Messages on their way at the same time. */
const WINDOW = 300;
/** By then the heap has grown to what it breathes in; it was the same after 300,000. */
const WARM_AT = HOSTILE / 2;
/** What is sent after that is more than a hundred (MiB), so a leak shows. */
const GROWTH_MIB_MAX = 60;

/** Memory that a process holds now (MiB). @source proc(5), /proc/pid/status */
const residentMib = ({ pid }: RunningProgram): number => {
  const status = readFileSync(`/proc/${pid}/status`, 'utf8');
  return Number(/^VmRSS:\s+(\d+) kB/m.exec(status)?.[1]) / 1024;
};

test('200,000 hostile payloads among good ones: all good ones stored, memory flat, the others listed and bounded', {
  timeout: 240_000,
}, async () => {
  const folder = await temporaryFolder();
  const program = await startProgram({ folder: folder.path });
  const url = `mqtt://127.0.0.1:${program.mqttPort}`;
  const publisher = new NumberedPublisher(url, Date.now() - 3600_000);
  const hostile = await mqtt.connectAsync(url, { clientId: 'hostile' });
  try {
    const seed = Math.floor(Math.random() * 1e6);
    console.log(`seed ${seed}`);
    const payloads = fc.sample(anyPayload, { numRuns: 5000, seed });
    let sent = 0;
    let warmMib = 0;
    let sentMib = 0;
    const lane = async () => {
      while (sent < HOSTILE) {
        const payload = payloads[sent % payloads.length] ?? '';
        sent += 1;
        if (sent === WARM_AT) warmMib = residentMib(program);
        if (sent > WARM_AT) sentMib += payload.length / 2 ** 20;
        if (sent % 10 === 0) publisher.publish();
        await hostile.publishAsync(`probes/keg-${sent % 40}/headspace-pressure`, payload, { qos: 1 });
      }
    };
    await Promise.all(Array.from({ length: WINDOW }, lane));
    await settled(publisher, program);
    const growthMib = residentMib(program) - warmMib;
    const { count, rejections } = await getJson<{ count: number; rejections: unknown[] }>(program, 'api/v1/rejections');
    const metrics = await metricsOf(program);
    const rejected = metric(metrics, 'quietkeg_values_total{fate="rejected"}');
    console.log(
      `${rejected} of ${sent} refused; ${warmMib.toFixed(0)} MiB and ${growthMib.toFixed(0)} MiB more after another ${sentMib.toFixed(0)} MiB`,
    );
    expect(rejections).toHaveLength(200);
    expect(count).toBe(rejected);
    expect(count).toBeGreaterThan(HOSTILE / 2);
    expect(sentMib).toBeGreaterThan(100);
    expect(growthMib).toBeLessThan(GROWTH_MIB_MAX);
    await program.end('SIGTERM');
    const found = await lookUpNumbers(sqliteStore(folder.path), publisher);
    expect(found).toMatchObject({ lost: [], doubled: [], wrong: [], kept: publisher.sent });
    expect(publisher.sent).toBe(HOSTILE / 10);
  } finally {
    await hostile.endAsync(true);
    await publisher.close();
    await program.end('SIGKILL');
    await folder.remove();
  }
});
