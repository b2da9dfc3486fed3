import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { run, succeeds } from './command.ts';

const BASE = 'debian:bookworm-slim';

/** The broker's image: the one named in the environment, else one built here on Debian. */
export const mosquittoImage = (): Promise<string> => imageOr(process.env.QUIETKEG_TEST_MOSQUITTO_IMAGE, 'mosquitto');

/** The store's image: the one named in the environment, else one built here on Debian. */
export const influxImage = (): Promise<string> => imageOr(process.env.QUIETKEG_TEST_INFLUX_IMAGE, 'influxdb');

async function imageOr(named: string | undefined, folder: 'mosquitto' | 'influxdb'): Promise<string> {
  if (named !== undefined && named !== '') return named;
  const context = join(import.meta.dirname, folder);
  return build(`quietkeg-test/${folder}`, context, readFileSync(join(context, 'Dockerfile'), 'utf8'), []);
}

/** Builds an image unless one of the same `key` is there. */
export async function build(name: string, context: string, key: string, args: readonly string[]): Promise<string> {
  const tag = `${name}:${createHash('sha256').update(key).digest('hex').slice(0, 16)}`;
  if (await exists(tag)) return tag;
  await ensureBase();
  await run('docker', ['build', '--network', 'host', '--tag', tag, ...args, context], { timeoutMs: 600_000 });
  return tag;
}

/** Debian from its packages, where the public image is not at hand: no registry is asked. */
export async function ensureBase(): Promise<string> {
  if (await exists(BASE)) return BASE;
  const root = mkdtempSync(join(tmpdir(), 'quietkeg-debian-'));
  try {
    await run('debootstrap', ['--variant=minbase', 'bookworm', root], { timeoutMs: 600_000 });
    await run('sh', ['-c', 'tar -C "$1" -c . | docker import - "$2"', 'sh', root, BASE]);
  } finally {
    rmSync(root, { recursive: true, force: true });
  }
  return BASE;
}

const exists = (image: string) => succeeds('docker', ['image', 'inspect', image]);
