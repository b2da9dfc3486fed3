import { type ChildProcess, spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, openSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { homedir, tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { succeeds } from './command.ts';
import { ensureCommands } from './debian-packages.ts';

/** Images stay here between runs. */
const CACHE = join(process.env.XDG_CACHE_HOME ?? join(homedir(), '.cache'), 'quietkeg-test');
const LOCK = join(CACHE, 'docker.lock');

/** Tried in turn: some machines have no usable overlay file system, some no packet filter. */
const DAEMON_OPTIONS: readonly (readonly string[])[] = [
  [],
  ['--iptables=false'],
  ['--storage-driver=vfs'],
  ['--storage-driver=vfs', '--iptables=false'],
];

export interface Docker {
  /** Ends what was started here; a daemon that was found running stays. */
  stop(): Promise<void>;
}

/**
 * Makes Docker usable for this process, `docker` and testcontainers alike: takes the daemon that runs, else installs
 * Docker if need be and starts a daemon of our own, on a socket and folders of its own.
 * @throws Error that says what to do, if there is no way. Container tests never skip themselves.
 */
export async function useDocker(): Promise<Docker> {
  // The clean-up container of testcontainers is one more image to pull; every test stops what it starts.
  process.env.TESTCONTAINERS_RYUK_DISABLED = 'true';
  // Not every Docker has the newer builder, and the images are too small to gain from it.
  process.env.DOCKER_BUILDKIT = '0';
  await ensureCommands({ docker: 'docker.io', debootstrap: 'debootstrap' });
  if (await answers()) return { stop: async () => {} };
  if (process.env.DOCKER_HOST !== undefined) {
    throw new Error(`No Docker answers at DOCKER_HOST=${process.env.DOCKER_HOST}. Start it, or unset DOCKER_HOST.`);
  }
  if (process.getuid?.() !== 0) {
    throw new Error('No Docker is running, and starting one takes root. Start it ("sudo systemctl start docker").');
  }
  await ensureCommands({ dockerd: 'docker.io', iptables: 'iptables' });
  return startDaemon();
}

const answers = () => succeeds('docker', ['info', '--format', '{{.ServerVersion}}']);

async function startDaemon(): Promise<Docker> {
  mkdirSync(CACHE, { recursive: true });
  await takeLock();
  const folder = mkdtempSync(join(tmpdir(), 'quietkeg-docker-'));
  const log = join(folder, 'log');
  const host = `unix://${join(folder, 'docker.sock')}`;
  for (const options of DAEMON_OPTIONS) {
    const daemon = spawnDaemon(folder, host, log, options);
    process.env.DOCKER_HOST = host;
    if (await becomesReady(daemon)) {
      return {
        stop: async () => {
          await end(daemon);
          delete process.env.DOCKER_HOST;
          rmSync(LOCK, { force: true });
          // The daemon leaves this mount behind when it ends.
          await succeeds('umount', [join(folder, 'exec', 'netns', 'default')]);
          rmSync(folder, { recursive: true, force: true });
        },
      };
    }
    await end(daemon);
  }
  delete process.env.DOCKER_HOST;
  rmSync(LOCK, { force: true });
  const last = readFileSync(log, 'utf8').trim().split('\n').slice(-15).join('\n');
  throw new Error(
    `dockerd does not start here. Start Docker yourself and run the tests again. Its log (${log}):\n${last}`,
  );
}

function spawnDaemon(folder: string, host: string, log: string, options: readonly string[]): ChildProcess {
  const output = openSync(log, 'a');
  const folders = ['--data-root', join(CACHE, 'docker'), '--exec-root', join(folder, 'exec')];
  const args = ['--host', host, '--pidfile', join(folder, 'docker.pid'), ...folders, ...options];
  const daemon = spawn('dockerd', args, { stdio: ['ignore', output, output] });
  // Should this process be killed, the next run finds the daemon's number in the lock and ends it.
  if (daemon.pid !== undefined) writeFileSync(LOCK, `${process.pid} ${daemon.pid}`);
  return daemon;
}

async function becomesReady(daemon: ChildProcess): Promise<boolean> {
  for (let tries = 0; tries < 120 && daemon.exitCode === null; tries += 1) {
    if (await answers()) return true;
    await pause(250);
  }
  return false;
}

async function end(daemon: ChildProcess): Promise<void> {
  if (daemon.exitCode !== null || daemon.signalCode !== null) return;
  const gone = new Promise((resolve) => daemon.once('exit', resolve));
  daemon.kill('SIGTERM');
  const isGone = await Promise.race([gone.then(() => true), pause(30_000, false)]);
  if (!isGone) daemon.kill('SIGKILL');
  await gone;
}

/** Two daemons cannot share the cached images: a second run waits for the first to end. */
async function takeLock(): Promise<void> {
  for (let tries = 0; tries < 1200; tries += 1) {
    try {
      writeFileSync(LOCK, `${process.pid} 0`, { flag: 'wx' });
      return;
    } catch {
      const [owner = 0, daemon = 0] = readFileSync(LOCK, 'utf8').split(' ').map(Number);
      if (isAlive(owner)) await pause(500);
      else await clearAfter(daemon);
    }
  }
  throw new Error(
    `Another run of the container tests has been using ${CACHE} for ten minutes. End it, or remove ${LOCK}.`,
  );
}

/** Ends the daemon that a killed run left behind, once it is sure to be that daemon. */
async function clearAfter(daemon: number): Promise<void> {
  if (daemon > 0 && isAlive(daemon) && commandLine(daemon).includes(CACHE)) {
    process.kill(daemon, 'SIGTERM');
    for (let tries = 0; tries < 60 && isAlive(daemon); tries += 1) await pause(500);
  }
  rmSync(LOCK, { force: true });
}

function commandLine(pid: number): string {
  try {
    return readFileSync(`/proc/${pid}/cmdline`, 'utf8');
  } catch {
    return '';
  }
}

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return pid > 0;
  } catch {
    return false;
  }
}
