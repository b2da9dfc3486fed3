import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { influxStore, type KeptNumbers, lookUpNumbers, sqliteStore } from './kept-numbers.ts';
import { NumberedPublisher } from './numbered-publisher.ts';
import { type RunningProgram, spawnProgram, startProgram, temporaryFolder } from './running-program.ts';
import { freePort, type RunningServer, startInfluxd, startMosquitto } from './servers.ts';
import { settled } from './settled.ts';

/** The embedded broker and store, or Mosquitto and InfluxDB. */
export type Servers = 'embedded' | 'external';

export interface KillRun {
  readonly kills: number;
  readonly servers: Servers;
  /** The same seed kills after the same delays. */
  readonly seed: number;
  readonly onKill?: (made: number) => void;
}

export interface KillOutcome extends KeptNumbers {
  readonly kills: number;
  /** Times that it had begun to listen when it was killed. */
  readonly killedListening: number;
  readonly sent: number;
  readonly acknowledged: number;
}

const MESSAGES_PER_SECOND = 400;
/** One life in three ends within this time from its start, mostly before it listens (ms). */
const BIRTH_MS_MAX = 1500;
/** The others end within this time from when it began to listen (ms). */
const LOADED_MS_MAX = 600;

const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

/**
 * Kills the service again and again, at random moments from its first on, under a publisher that numbers its readings;
 * then lets it finish and compares what was acknowledged with what is stored.
 */
export async function killRun({ kills, servers, seed, onKill }: KillRun): Promise<KillOutcome> {
  const folder = await temporaryFolder();
  const random = seeded(seed);
  const started: RunningServer[] = [];
  let publisher: NumberedPublisher | null = null;
  let program: RunningProgram | null = null;
  try {
    const port = await freePort();
    const external = servers === 'external';
    if (external) started.push(await startMosquitto(folder.path, port), await startInfluxd(folder.path));
    const influxPort = started[1]?.port ?? 0;
    const options = {
      folder: folder.path,
      environment: external
        ? { QUIETKEG_MQTT_URL: `mqtt://127.0.0.1:${port}`, QUIETKEG_INFLUX_URL: `http://127.0.0.1:${influxPort}` }
        : { QUIETKEG_MQTT_PORT: String(port) },
    };
    // Its first life is a quiet one: a broker keeps messages for a subscriber only from the first subscription on.
    program = await startProgram(options);
    await pause(1000);
    publisher = new NumberedPublisher(`mqtt://127.0.0.1:${port}`, Date.now() - 3600_000);
    publisher.run(MESSAGES_PER_SECOND);
    await pause(random() * 500);
    await program.end('SIGKILL');
    let killedListening = 1;
    for (let made = 1; made < kills; made += 1) {
      const child = spawnProgram(options);
      if (random() < 1 / 3) await killAfter(child, random() * BIRTH_MS_MAX);
      else {
        await listening(child);
        await killAfter(child, random() * LOADED_MS_MAX);
        killedListening += 1;
      }
      onKill?.(made + 1);
    }
    program = await startProgram(options);
    publisher.pause();
    await settled(publisher, program);
    await program.end('SIGTERM');
    const store = external ? influxStore(influxPort) : sqliteStore(folder.path);
    const found = await lookUpNumbers(store, publisher);
    const { sent, acknowledged } = publisher;
    return { ...found, kills, killedListening, sent, acknowledged: acknowledged.size };
  } finally {
    await program?.end('SIGKILL');
    await publisher?.close();
    for (const server of started) await server.end('SIGKILL');
    await folder.remove();
  }
}

/** Resolves when it has told its address. */
function listening(child: ChildProcess): Promise<void> {
  let written = '';
  return new Promise((resolve, reject) => {
    child.once('close', () => reject(new Error(`the service ended by itself; it wrote: ${written}`)));
    child.stdout?.on('data', (bytes: Buffer) => {
      written += bytes.toString();
      if (/Quietkeg is at/.test(written)) resolve();
    });
  });
}

async function killAfter(child: ChildProcess, lifeMs: number): Promise<void> {
  child.stdout?.resume();
  child.stderr?.resume();
  await pause(lifeMs);
  if (child.exitCode !== null) throw new Error(`the service ended by itself with ${child.exitCode}`);
  const closed = once(child, 'close');
  child.kill('SIGKILL');
  await closed;
}

/** Numbers from 0 to 1 that a seed gives again (mulberry32, in the public domain). */
function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296;
  };
}
