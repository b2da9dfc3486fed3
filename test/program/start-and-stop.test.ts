import { mkdir, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Curve, KegState } from '../../src/contract/index.ts';
import { eventually, getJson, getText } from './support/outside.ts';
import { type RunningProgram, runToEnd, startProgram, temporaryFolder } from './support/running-program.ts';

let folder: Awaited<ReturnType<typeof temporaryFolder>>;

beforeEach(async () => {
  folder = await temporaryFolder();
});
afterEach(() => folder.remove());

/** One line to the person, no stack trace, exit 78. */
function expectClearRefusal({ code, err }: { code: number | null; err: string }, words: RegExp): void {
  expect(err).toMatch(words);
  expect(err.trim().split('\n')).toHaveLength(1);
  expect(err).not.toMatch(/\n\s+at /);
  expect(code).toBe(78);
}

/** Machines are noisy, so the demo is held against a bare start in the same run: its history may take so many times as long. */
const BARE_STARTS = 25;

test('the demo soon shows three kegs with history, and Ctrl-C stops it in order', async () => {
  const bareBegan = performance.now();
  const bare = await startProgram({ folder: folder.path, environment: { QUIETKEG_DATA: join(folder.path, 'bare') } });
  await eventually(
    () => getJson<{ status: string }>(bare, 'health/ready'),
    ({ status }) => status === 'ready',
  );
  const bareMs = performance.now() - bareBegan;
  await bare.end('SIGTERM');
  const began = performance.now();
  const program = await startProgram({ folder: folder.path, args: ['--demo'] });
  for (const kegId of ['left', 'middle', 'right']) {
    await eventually(
      () => getJson<KegState>(program, `api/v1/kegs/${kegId}/state`),
      (s) => s.equilibriumVolumes !== null,
    );
    const day = () => getJson<Curve>(program, `api/v1/kegs/${kegId}/curve?points=300`);
    const { columns } = await eventually(day, (curve) => curve.columns.time.length > 200);
    expect(columns.equilibriumVolumes.filter((volumes) => volumes !== null).length).toBeGreaterThan(200);
  }
  expect((performance.now() - began) / bareMs).toBeLessThan(BARE_STARTS);
  // One that took too long is cut off, and says so by its code.
  expect((await program.end('SIGINT')).code).toBe(0);
});

test('the demo goes on after a restart without a reading twice', async () => {
  const first = await startProgram({ folder: folder.path, args: ['--demo'] });
  const from = new Date(Date.now() - 6 * 3600_000).toISOString();
  const to = new Date(Date.now() - 30 * 60_000).toISOString();
  const path = `api/v1/kegs/left/curve?points=2000&from=${from}&to=${to}`;
  const curveOf = async (program: RunningProgram) => {
    await eventually(
      () => getJson<Curve>(program, path),
      (curve) => curve.columns.time.length > 300,
    );
    await eventually(
      () => getText(program, 'metrics'),
      (metrics) => /^quietkeg_estimates_pending 0$/m.test(metrics),
    );
    return (await getJson<Curve>(program, path)).columns;
  };
  const before = await curveOf(first);
  // Twelve days of readings, in which the gas was closed twice, tell what is in the beer.
  expect(before.dissolvedVolumes.every((volumes) => volumes !== null && volumes > 2)).toBe(true);
  await first.end('SIGKILL');
  const second = await startProgram({ folder: folder.path, args: ['--demo'] });
  expect(await curveOf(second)).toEqual(before);
  await second.end('SIGTERM');
});

test('a taken port is told in one line', async () => {
  const taken = createServer();
  await new Promise<void>((resolve) => taken.listen(0, '127.0.0.1', resolve));
  const address = taken.address();
  const port = typeof address === 'object' && address !== null ? address.port : 0;
  try {
    const http = await runToEnd({ folder: folder.path, environment: { QUIETKEG_HTTP_PORT: String(port) } });
    expectClearRefusal(http, new RegExp(`port ${port} on 127.0.0.1 is taken.*--http-port`));
    const mqtt = await runToEnd({ folder: folder.path, environment: { QUIETKEG_MQTT_PORT: String(port) } });
    expectClearRefusal(mqtt, new RegExp(`port ${port} on 127.0.0.1 is taken.*--mqtt-port`));
  } finally {
    taken.close();
  }
});

test('a folder that cannot be one is told in one line', async () => {
  const file = join(folder.path, 'file');
  await writeFile(file, '');
  const refused = await runToEnd({ folder: folder.path, environment: { QUIETKEG_DATA: join(file, 'data') } });
  expectClearRefusal(refused, /the data folder .* cannot be written.*--data/);
  // Node's recursive mkdir never comes back from here.
  const nowhere = await runToEnd({ folder: folder.path, environment: { QUIETKEG_DATA: '/proc/nowhere/data' } });
  expectClearRefusal(nowhere, /the data folder \/proc\/nowhere\/data cannot be written.*--data/);
});

test('a second service on the same folder is refused while the first one runs on', async () => {
  const first = await startProgram({ folder: folder.path });
  expectClearRefusal(await runToEnd({ folder: folder.path }), /another service uses the folder/);
  expect(await getJson(first, 'health/ready')).toMatchObject({ status: 'ready' });
  await first.end('SIGTERM');
});

test('wrong settings are all told, each with where it stands', async () => {
  await mkdir(folder.path, { recursive: true });
  const config = join(folder.path, 'quietkeg.toml');
  await writeFile(config, 'altitudeM = "high"\n[http]\nprot = 1\n');
  const { code, err } = await runToEnd({
    folder: folder.path,
    args: ['--config', config],
    environment: { QUIETKEG_HTTP_PORT: 'eighty', QUIETKEG_MQTT_PROT: '1' },
  });
  expect(code).toBe(78);
  expect(err).toMatch(/QUIETKEG_MQTT_PROT is no setting; did you mean QUIETKEG_MQTT_PORT\?/);
  expect(err).toMatch(/QUIETKEG_HTTP_PORT: must be a number/);
  expect(err).toMatch(/http\.prot is no setting; did you mean http\.port\?/);
  expect(err).toMatch(/altitudeM: must be a number/);
  expect(err).not.toMatch(/\n\s+at /);
});

test('beyond this machine it does not listen without a passphrase, unless told that something else keeps guard', async () => {
  const refused = await runToEnd({ folder: folder.path, environment: { QUIETKEG_HTTP_HOST: '0.0.0.0' } });
  expectClearRefusal(refused, /http\.host: 0\.0\.0\.0 can be reached from other machines/);
});
