import { execFile } from 'node:child_process';
import { once } from 'node:events';
import { promisify } from 'node:util';
import { WebSocket } from 'ws';
import type { LiveFrame } from '../../../src/contract/index.ts';
import type { RunningProgram } from './running-program.ts';

const run = promisify(execFile);
const WAIT_MS_MAX = 30_000;

/** Publishes as a user would from a shell. */
export async function mosquittoPub(program: RunningProgram, topic: string, payload: string): Promise<void> {
  const args = ['-h', '127.0.0.1', '-p', String(program.mqttPort), '-q', '1', '-t', topic, '-m', payload];
  await run('mosquitto_pub', args).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT')
      throw new Error('mosquitto_pub is missing; install it: apt-get install mosquitto-clients');
    throw error;
  });
}

export async function getText(program: RunningProgram, path: string): Promise<string> {
  const response = await fetch(new URL(path, program.address));
  if (!response.ok) throw new Error(`GET ${path}: ${response.status} ${await response.text()}`);
  return response.text();
}

export async function getJson<T>(program: RunningProgram, path: string): Promise<T> {
  return JSON.parse(await getText(program, path));
}

export async function send(
  program: RunningProgram,
  method: 'PUT' | 'POST' | 'DELETE',
  path: string,
  body?: unknown,
): Promise<Response> {
  const json =
    body === undefined ? {} : { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) };
  return fetch(new URL(path, program.address), { method, ...json });
}

/** Asks again until an answer is as wanted; fails with the last answer after a bound. */
export async function eventually<T>(
  ask: () => Promise<T>,
  wanted: (answer: T) => boolean,
  waitMsMax = WAIT_MS_MAX,
): Promise<T> {
  const until = performance.now() + waitMsMax;
  for (;;) {
    const answer = await ask().catch((error: Error) => error);
    if (!(answer instanceof Error) && wanted(answer)) return answer;
    if (performance.now() > until) {
      throw new Error(
        `not within ${waitMsMax} ms; last: ${answer instanceof Error ? answer.message : JSON.stringify(answer)}`,
      );
    }
    await new Promise(setImmediate);
  }
}

/** A client of the live socket that keeps every frame with the moment it came. */
export interface LiveClient {
  readonly frames: { readonly frame: LiveFrame; readonly atMs: number }[];
  /** Resolves to the first frame, old or new, that fits. */
  next(wanted: (frame: LiveFrame) => boolean): Promise<{ frame: LiveFrame; atMs: number }>;
  /** Calls with every frame from now on. */
  onFrame(listener: (frame: LiveFrame) => void): void;
  close(): void;
}

export async function openLive(program: RunningProgram): Promise<LiveClient> {
  const socket = new WebSocket(`${program.address.replace('http', 'ws')}api/v1/live`);
  const frames: LiveClient['frames'] = [];
  const waiting = new Set<() => void>();
  socket.on('message', (bytes: Buffer) => {
    frames.push({ frame: JSON.parse(bytes.toString()), atMs: performance.now() });
    for (const look of waiting) look();
  });
  await once(socket, 'open');
  return {
    frames,
    next: (wanted) =>
      new Promise((resolve, reject) => {
        const timer = setTimeout(() => reject(new Error(`no such frame within ${WAIT_MS_MAX} ms`)), WAIT_MS_MAX);
        const look = () => {
          const found = frames.find(({ frame }) => wanted(frame));
          if (found === undefined) return;
          clearTimeout(timer);
          waiting.delete(look);
          resolve(found);
        };
        waiting.add(look);
        look();
      }),
    onFrame: (listener) => {
      socket.on('message', (bytes: Buffer) => listener(JSON.parse(bytes.toString())));
    },
    close: () => socket.terminate(),
  };
}
