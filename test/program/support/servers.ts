import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { connect, createServer } from 'node:net';
import { join } from 'node:path';

const START_MS_MAX = 15_000;
const SHIPPED_SETTINGS = join(import.meta.dirname, '../../../deploy/mosquitto/mosquitto.conf');

/** A server of the machine, started for one test on a free port. */
export interface RunningServer {
  readonly port: number;
  end(signal: 'SIGTERM' | 'SIGKILL'): Promise<void>;
  /** Stands still until `thaw`: it holds its connections and answers nothing. */
  freeze(): void;
  thaw(): void;
}

/** A free port of the loopback; taken by nobody else between asking and using it on a machine of tests. */
export async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const address = server.address();
  await new Promise((resolve) => server.close(resolve));
  if (typeof address !== 'object' || address === null) throw new Error('no free port');
  return address.port;
}

/** Mosquitto with the settings that we ship, but for its port and its folder, which outlives it. */
export async function startMosquitto(
  folder: string,
  port?: number,
  change: (settings: string) => string = (settings) => settings,
): Promise<RunningServer> {
  const chosen = port ?? (await freePort());
  const kept = join(folder, 'mosquitto');
  await mkdir(kept, { recursive: true });
  const config = join(folder, 'mosquitto.conf');
  const shipped = await readFile(SHIPPED_SETTINGS, 'utf8');
  const settings = shipped
    .replace(/^listener .*$/m, `listener ${chosen} 127.0.0.1`)
    .replace(/^persistence_location .*$/m, `persistence_location ${kept}/`);
  await writeFile(config, `${change(settings)}\nuser root\n`);
  return answering(spawn('mosquitto', ['-c', config], { stdio: 'ignore' }), 'mosquitto', chosen);
}

/** InfluxDB 1.x from Debian, in a folder that outlives it. */
export async function startInfluxd(folder: string, port?: number): Promise<RunningServer> {
  const chosen = port ?? (await freePort());
  const kept = join(folder, 'influxdb');
  await mkdir(kept, { recursive: true });
  const config = join(folder, 'influxdb.conf');
  const text = `bind-address = "127.0.0.1:${await freePort()}"
reporting-disabled = true
[meta]
dir = "${kept}/meta"
[data]
dir = "${kept}/data"
wal-dir = "${kept}/wal"
[http]
bind-address = "127.0.0.1:${chosen}"
log-enabled = false
`;
  await writeFile(config, text);
  return answering(spawn('influxd', ['-config', config], { stdio: 'ignore' }), 'influxd', chosen);
}

async function answering(child: ChildProcess, name: string, port: number): Promise<RunningServer> {
  const ended = once(child, 'exit').then(() => {
    throw new Error(`${name} ended while starting`);
  });
  const until = performance.now() + START_MS_MAX;
  while (!(await Promise.race([opens(port), ended]))) {
    if (performance.now() > until) throw new Error(`${name} did not answer on port ${port} within ${START_MS_MAX} ms`);
  }
  ended.catch(() => undefined);
  return {
    port,
    async end(signal) {
      if (child.exitCode !== null || child.signalCode !== null) return;
      const closed = once(child, 'exit');
      child.kill(signal);
      await closed;
    },
    freeze: () => void child.kill('SIGSTOP'),
    thaw: () => void child.kill('SIGCONT'),
  };
}

function opens(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1');
    socket.once('connect', () => {
      socket.destroy();
      resolve(true);
    });
    socket.once('error', () => setTimeout(() => resolve(false), 50));
  });
}
