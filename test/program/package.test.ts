/**
 * Aim: what is installed elsewhere is what was tested here. Two builds in two places give the same bytes; installed without a
 * network into an empty place the package runs; each of its packages has a licence that allows it.
 */
import { execFile, spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { once } from 'node:events';
import { cp, mkdir, readdir, readFile, symlink } from 'node:fs/promises';
import { homedir, tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { runtimePackages } from '../../deploy/pack.ts';
import { eventually } from './support/outside.ts';
import { temporaryFolder } from './support/running-program.ts';

const ROOT = join(import.meta.dirname, '../..');
const run = promisify(execFile);
let base: Awaited<ReturnType<typeof temporaryFolder>>;
let tarballs: string[] = [];
let prefix: string;

/** Packs a copy of the sources that lies somewhere else. */
async function packedIn(name: string): Promise<string> {
  const folder = join(base.path, name);
  const { stdout } = await run('git', ['ls-files', '--cached', '--others', '--exclude-standard'], { cwd: ROOT });
  for (const file of stdout
    .trim()
    .split('\n')
    .filter((one) => !one.startsWith('test/'))) {
    await mkdir(dirname(join(folder, file)), { recursive: true });
    await cp(join(ROOT, file), join(folder, file));
  }
  await symlink(join(ROOT, 'node_modules'), join(folder, 'node_modules'));
  await run('npm', ['pack', '--silent'], { cwd: folder });
  const [tarball] = (await readdir(folder)).filter((file) => file.endsWith('.tgz'));
  return join(folder, tarball ?? 'no package was made');
}

const environment = (): NodeJS.ProcessEnv => ({
  PATH: `${dirname(process.execPath)}:${process.env.PATH}`,
  HOME: base.path,
  QUIETKEG_DATA: join(base.path, 'data'),
});

beforeAll(async () => {
  base = await temporaryFolder();
  tarballs = [await packedIn('one'), await packedIn('another/place')];
  prefix = join(base.path, 'prefix');
  const where = ['--global', '--prefix', prefix];
  // What `npm ci` put into npm's cache is enough: nothing is fetched.
  const quiet = ['--offline', '--ignore-scripts', '--no-audit', '--no-fund', '--silent'];
  await run('npm', ['install', ...where, ...quiet, tarballs[0] ?? '']);
}, 240_000);
afterAll(() => base.remove());

test('two builds in two places give the same bytes', async () => {
  const sums = await Promise.all(
    tarballs.map(async (path) =>
      createHash('sha256')
        .update(await readFile(path))
        .digest('hex'),
    ),
  );
  expect(sums).toHaveLength(2);
  expect(sums[0]).toBe(sums[1]);
});

test('the installed command answers, saves and serves, from its own place', async () => {
  const command = join(prefix, 'bin/quietkeg');
  const help = await run(command, ['--help'], { env: environment() });
  expect(help.stdout).toMatch(/serve .*\n.*calculate/);
  const sum = await run(command, ['calculate', 'freezing-point', 'abvPercent=4.8'], { env: environment() });
  expect(sum.stdout).toMatch(/°C/);
  const ports = { QUIETKEG_HTTP_PORT: '0', QUIETKEG_MQTT_PORT: '0' };
  const child = spawn(command, ['serve'], {
    env: { ...environment(), ...ports },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  let written = '';
  child.stdout.on('data', (bytes: Buffer) => {
    written += bytes.toString();
  });
  await eventually(
    () => Promise.resolve(written),
    (text) => text.includes('Ctrl-C'),
  );
  const address = /is at (\S+)/.exec(written)?.[1] ?? '';
  expect((await fetch(new URL('health/ready', address))).status).toBe(200);
  expect(await (await fetch(address, { headers: { accept: 'text/html' } })).text()).toMatch(/<!doctype html>/i);
  const saved = await run(command, ['backup', join(base.path, 'b.tar.gz')], { env: environment() });
  expect(saved.stdout).toMatch(/restored once and found whole/);
  const closed = once(child, 'close');
  child.kill('SIGTERM');
  expect(await closed).toEqual([0, null]);
});

test('it holds no sources of tests, no development packages and no path of this machine', async () => {
  const { stdout } = await run('tar', ['-tzf', tarballs[0] ?? '']);
  expect(stdout).toMatch(/package\/LICENCES\.txt/);
  expect(stdout).not.toMatch(/package\/(test|src|node_modules)\//);
  const installed = join(prefix, 'lib/node_modules/quietkeg');
  const modules = await readdir(join(installed, 'node_modules'));
  expect(modules).toContain('fastify');
  expect(modules).not.toContain('vitest');
  const places = [ROOT, tmpdir(), homedir()].flatMap((place) => ['-e', `${place.replace(/\/$/, '')}/`]);
  const searched = [join(installed, 'dist'), join(installed, 'web')];
  const found = await run('grep', ['-rlF', ...places, ...searched]).then(
    ({ stdout: names }) => names,
    // grep ends with 1 where it found nothing, with 2 where it could not look.
    (error: { code?: unknown }) => (error.code === 1 ? '' : Promise.reject(error)),
  );
  expect(found).toBe('');
});

/** Licences that let the service be used, changed and given on, with their notice kept. */
const ALLOWED =
  /^\(?(MIT|MIT-0|ISC|0BSD|BSD-2-Clause|BSD-3-Clause|Apache-2\.0|BlueOak-1\.0\.0|Unlicense|CC0-1\.0)( OR .*)?\)?$/;

test('every package that runs with it has a licence that allows that, and none is native', async () => {
  const packages = runtimePackages();
  expect(packages.length).toBeGreaterThan(80);
  const odd = packages.filter(({ licence }) => !ALLOWED.test(licence));
  expect(odd.map(({ name, licence }) => `${name}: ${licence}`)).toEqual([]);
  // So it runs on arm64 as on x64: the runtime alone is built for a processor.
  const { stdout } = await run('find', [join(prefix, 'lib/node_modules/quietkeg'), '-name', '*.node']);
  expect(stdout).toBe('');
});

test('the bill of materials names every package that runs with it', async () => {
  const { stdout } = await run('npm', ['run', '-s', 'sbom'], { cwd: ROOT, maxBuffer: 1 << 26 });
  const { bomFormat, components } = JSON.parse(stdout) as {
    bomFormat: string;
    components: { name: string; version: string; group?: string }[];
  };
  expect(bomFormat).toBe('CycloneDX');
  const named = components.map(
    ({ name, group, version }) => `${group === undefined ? '' : `${group}/`}${name}@${version}`,
  );
  // Types are no code; npm counts some of them as of development, because we develop with them too.
  const running = runtimePackages().filter(({ name }) => !name.startsWith('@types/'));
  for (const { name, version } of running) expect(named).toContain(`${name}@${version}`);
});
