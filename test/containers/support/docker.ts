import { type ChildProcess, spawn } from 'node:child_process';
import { closeSync, mkdirSync, openSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { homedir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { run, succeeds } from './command.ts';
import { ensureCommands } from './debian-packages.ts';

/** Images stay here between runs. */
const CACHE = join(process.env.XDG_CACHE_HOME ?? join(homedir(), '.cache'), 'quietkeg-test');
const LOCK = join(CACHE, 'docker.lock');
const LOG = join(CACHE, 'docker.log');
const SOCKET = `unix://${join(CACHE, 'docker.sock')}`;
const DATA_ROOT = join(CACHE, 'docker');
/** The same in every run, so that a daemon finds and ends the containers of one that was killed. */
const EXEC_ROOT = join(CACHE, 'exec');

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
  writeFileSync(LOG, '');
  process.env.DOCKER_HOST = SOCKET;
  for (const options of DAEMON_OPTIONS) {
    const daemon = spawnDaemon(options);
    if (await becomesReady(daemon)) {
      await removeLeftOvers();
      return { stop: () => stopDaemon(daemon) };
    }
    await stopDaemon(daemon);
    await takeLock();
    process.env.DOCKER_HOST = SOCKET;
  }
  await release();
  const last = readFileSync(LOG, 'utf8').trim().split('\n').slice(-15).join('\n');
  throw new Error(
    `dockerd does not start here. Start Docker yourself and run the tests again. Its log (${LOG}):\n${last}`,
  );
}

function spawnDaemon(options: readonly string[]): ChildProcess {
  const output = openSync(LOG, 'a');
  const folders = ['--data-root', DATA_ROOT, '--exec-root', EXEC_ROOT];
  const args = ['--host', SOCKET, '--pidfile', join(CACHE, 'docker.pid'), ...folders, ...options];
  // In a process group of its own: should this run be killed with all its group, the daemon can still end its
  // containers in order. The next run finds its number in the lock and asks it to.
  const daemon = spawn('dockerd', args, { stdio: ['ignore', output, output], detached: true });
  closeSync(output);
  if (daemon.pid !== undefined) writeFileSync(LOCK, `${process.pid} ${daemon.pid}`);
  return daemon;
}

/** Containers of runs that were killed; the daemon is ours alone, so whatever it still has is of no use. */
async function removeLeftOvers(): Promise<void> {
  const ids = (await run('docker', ['ps', '--all', '--quiet'])).split('\n').filter((id) => id !== '');
  if (ids.length === 0) return;
  await run('docker', ['rm', '--force', '--volumes', ...ids]);
  await run('docker', ['network', 'prune', '--force']);
  await run('docker', ['volume', 'prune', '--force']);
}

async function stopDaemon(daemon: ChildProcess): Promise<void> {
  await end(daemon);
  await release();
}

async function release(): Promise<void> {
  delete process.env.DOCKER_HOST;
  // The first mount a daemon leaves behind whenever it ends, the second when it is killed.
  await succeeds('umount', [join(EXEC_ROOT, 'netns', 'default')]);
  await succeeds('umount', [DATA_ROOT]);
  rmSync(LOCK, { force: true });
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
