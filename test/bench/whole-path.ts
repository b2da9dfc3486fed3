/**
 * Messages a second at QoS 1 from Mosquitto through the whole path (decode, validate, spool, acknowledge, show, store), held
 * against a client that does nothing. Both find the same messages waiting for them at the broker, so no publisher
 * competes with them, and the broker writes nothing to disk.
 */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import mqtt from 'mqtt';
import { type RunningProgram, startProgram, temporaryFolder } from '../program/support/running-program.ts';
import { startMosquitto } from '../program/support/servers.ts';
import { metric, metricsOf } from '../program/support/settled.ts';
import type { Figure } from './figure.ts';

const MESSAGES = 150_000;
const KEGS = 200;
const WINDOW = 500;
const TICKS_PER_S = 100;
const IDLE = fileURLToPath(new URL('./idle-subscriber.ts', import.meta.url));

interface Rate {
  readonly perSecond: number;
  /** Processor time of one message (µs). */
  readonly cpuMicrosecondsEach: number;
}

async function publish(url: string): Promise<void> {
  const client = await mqtt.connectAsync(url);
  let sent = 0;
  const lane = async () => {
    while (sent < MESSAGES) {
      const n = sent;
      sent += 1;
      await client.publishAsync(
        `probes/keg-${n % KEGS}/beer-temperature`,
        String(8 + (Math.floor(n / KEGS) % 100) / 100),
        { qos: 1 },
      );
    }
  };
  await Promise.all(Array.from({ length: WINDOW }, lane));
  await client.endAsync();
}

async function idleSubscriber(url: string, count: number): Promise<Rate> {
  const child = spawn(process.execPath, [IDLE, url, 'idle', String(count)], { stdio: ['ignore', 'pipe', 'inherit'] });
  let written = '';
  child.stdout.on('data', (bytes: Buffer) => {
    written += bytes.toString();
  });
  await once(child, 'close');
  return written === '' ? { perSecond: 0, cpuMicrosecondsEach: 0 } : JSON.parse(written);
}

/** Processor time of a process so far (ms). @source proc(5), /proc/pid/stat, fields 14 and 15 */
function cpuMsOf(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.split(' ') ?? [];
  return ((Number(fields[11]) + Number(fields[12])) * 1000) / TICKS_PER_S;
}

/** Once it is warm, until the last message is in the store. */
async function throughProgram(program: RunningProgram): Promise<Rate> {
  const value = (metrics: string, fate: string) => metric(metrics, `quietkeg_values_total{fate="${fate}"}`) ?? 0;
  let first: { readonly atMs: number; readonly done: number; readonly cpuMs: number } | null = null;
  for (;;) {
    const metrics = await metricsOf(program);
    const done = value(metrics, 'stored') + value(metrics, 'duplicates');
    const now = { atMs: performance.now(), done, cpuMs: cpuMsOf(program.pid) };
    if (first === null && done > MESSAGES / 5) first = now;
    if (first !== null && done >= MESSAGES) {
      const measured = done - first.done;
      return {
        perSecond: measured / ((now.atMs - first.atMs) / 1000),
        cpuMicrosecondsEach: ((now.cpuMs - first.cpuMs) * 1000) / measured,
      };
    }
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

export async function benchWholePath(): Promise<Figure[]> {
  const folder = await temporaryFolder();
  const inMemory = (settings: string) =>
    settings.replace(/^persistence true$/m, 'persistence false').replace(/^autosave.*$/gm, '');
  const mosquitto = await startMosquitto(folder.path, undefined, inMemory);
  const url = `mqtt://127.0.0.1:${mosquitto.port}`;
  const options = { folder: folder.path, environment: { QUIETKEG_MQTT_URL: url } };
  let program = await startProgram(options);
  try {
    await new Promise((resolve) => setTimeout(resolve, 1500));
    await program.end('SIGTERM');
    await idleSubscriber(url, 0);
    await publish(url);
    const limit = await idleSubscriber(url, MESSAGES);
    program = await startProgram(options);
    const measured = await throughProgram(program);
    const limitIs = 'Mosquitto to a client that does nothing';
    return [
      {
        what: 'messages a second at QoS 1 from Mosquitto, synced, stored and shown',
        measured: measured.perSecond,
        limit: limit.perSecond,
        unit: '1/s',
        limitIs,
      },
      {
        what: 'processor time a message on that way',
        measured: measured.cpuMicrosecondsEach,
        limit: limit.cpuMicrosecondsEach,
        unit: 'µs',
        limitIs,
      },
    ];
  } finally {
    await program.end('SIGKILL');
    await mosquitto.end('SIGKILL');
    await folder.remove();
  }
}
