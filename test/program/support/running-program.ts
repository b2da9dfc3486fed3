import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../../..', import.meta.url));
const START_MS_MAX = 20_000;

export interface StartOptions {
  readonly folder: string;
  readonly args?: readonly string[];
  readonly environment?: Readonly<Record<string, string>>;
}

/** The program as a user starts it, in a process of its own, on free ports. */
export interface RunningProgram {
  /** The dashboard's address, ending in a slash. */
  readonly address: string;
  readonly mqttPort: number;
  readonly pid: number;
  /** Milliseconds from starting the process until it told its address. */
  readonly startedInMs: number;
  /** Everything it has written so far. */
  written(): string;
  /** Sends a signal and resolves to how the process ended. */
  end(signal: 'SIGINT' | 'SIGTERM' | 'SIGKILL'): Promise<{ code: number | null; tookMs: number }>;
}

export async function temporaryFolder(): Promise<{ path: string; remove: () => Promise<void> }> {
  const path = await mkdtemp(join(tmpdir(), 'quietkeg-'));
  return { path, remove: () => rm(path, { recursive: true, force: true }) };
}

/** Starts the process and waits for nothing. */
export function spawnProgram({ folder, args = [], environment = {} }: StartOptions): ChildProcess {
  const ports = { QUIETKEG_HTTP_PORT: '0', QUIETKEG_MQTT_PORT: '0' };
  return spawn(process.execPath, ['src/main.ts', 'serve', ...args], {
    cwd: ROOT,
    env: { PATH: process.env.PATH, HOME: folder, QUIETKEG_DATA: folder, ...ports, ...environment },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
}

/** Runs a start that is expected to fail, to its end. */
export async function runToEnd(options: StartOptions): Promise<{ code: number | null; out: string; err: string }> {
  const child = spawnProgram(options);
  const written = gather(child);
  const [code] = await once(child, 'close');
  return { code, ...written };
}

export async function startProgram(options: StartOptions): Promise<RunningProgram> {
  const began = performance.now();
  const child = spawnProgram(options);
  const written = gather(child);
  const address = await told(child, written, /Quietkeg is at (\S+)/);
  const startedInMs = performance.now() - began;
  const external = options.environment?.QUIETKEG_MQTT_URL !== undefined;
  const mqttUrl = external ? 'mqtt://127.0.0.1:0' : await told(child, written, /Probes publish to (\S+)/);
  return {
    address,
    mqttPort: Number(new URL(mqttUrl).port),
    startedInMs,
    pid: child.pid ?? 0,
    written: () => written.out + written.err,
    async end(signal) {
      const asked = performance.now();
      if (child.exitCode !== null || child.signalCode !== null) return { code: child.exitCode, tookMs: 0 };
      const closed = once(child, 'close');
      child.kill(signal);
      const [code] = await closed;
      return { code, tookMs: performance.now() - asked };
    },
  };
}

function gather(child: ChildProcess): { out: string; err: string } {
  const written = { out: '', err: '' };
  child.stdout?.on('data', (bytes: Buffer) => {
    written.out += bytes.toString();
  });
  child.stderr?.on('data', (bytes: Buffer) => {
    written.err += bytes.toString();
  });
  return written;
}

/** Resolves to what the pattern captures once the program has written it. */
function told(child: ChildProcess, written: { out: string; err: string }, pattern: RegExp): Promise<string> {
  return new Promise((resolve, reject) => {
    const fail = (why: string) => {
      clearTimeout(timer);
      reject(new Error(`the program ${why}; it wrote:\n${written.out}${written.err}`));
    };
    const timer = setTimeout(() => {
      child.kill('SIGKILL');
      fail(`did not start within ${START_MS_MAX} ms`);
    }, START_MS_MAX);
    const look = () => {
      const found = pattern.exec(written.out)?.[1];
      if (found === undefined) return;
      clearTimeout(timer);
      child.stdout?.off('data', look);
      resolve(found);
    };
    child.stdout?.on('data', look);
    child.once('close', () => fail('ended'));
    look();
  });
}
