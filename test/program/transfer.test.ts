import { execFile } from 'node:child_process';
import { mkdir, readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Curve, KegState } from '../../src/contract/index.ts';
import { eventually, getJson, send } from './support/outside.ts';
import { type RunningProgram, startProgram, temporaryFolder } from './support/running-program.ts';

/** Aim: export and import do the same beside a running service as on a stopped one, and the service knows at once. */

const MAIN = new URL('../../src/main.ts', import.meta.url).pathname;
const run = promisify(execFile);
const MINUTE = 60_000;

let base: Awaited<ReturnType<typeof temporaryFolder>>;
const running: RunningProgram[] = [];
beforeEach(async () => {
  base = await temporaryFolder();
});
afterEach(async () => {
  for (const program of running.splice(0)) await program.end('SIGKILL');
  await base.remove();
});

const at = (...names: string[]) => join(base.path, ...names);

async function started(data: string): Promise<RunningProgram> {
  await mkdir(at(data), { recursive: true });
  const program = await startProgram({ folder: at(data) });
  running.push(program);
  return program;
}

async function quietkeg(
  command: 'import' | 'export',
  where: string,
  data: string,
  more: string[] = [],
): Promise<string> {
  const environment = { PATH: process.env.PATH, HOME: base.path, QUIETKEG_DATA: at(data) };
  const { stdout } = await run(process.execPath, [MAIN, command, at(where), ...more], { env: environment });
  return stdout;
}

async function folderTexts(folder: string): Promise<Record<string, string>> {
  const names = (await readdir(at(folder))).toSorted();
  const texts = await Promise.all(names.map(async (name) => [name, await readFile(at(folder, name), 'utf8')]));
  return Object.fromEntries(texts);
}

/** Two hours of a keg that ended a minute ago, as somebody else might have recorded them. */
async function recordedFolder(): Promise<void> {
  const from = Math.floor(Date.now() / MINUTE) * MINUTE - 121 * MINUTE;
  const iso = (minutes: number) => new Date(from + minutes * MINUTE).toISOString();
  const entries = [
    {
      t: iso(0),
      keg: 'one',
      kind: 'keg-filled',
      totalLitres: 19.4,
      beerLitres: 18.5,
      beerState: 'flat',
      probe: 'thermowell',
    },
    { t: iso(0), keg: 'one', kind: 'headspace-purged', times: 5 },
    { t: iso(1), keg: 'one', kind: 'gas-opened' },
  ];
  const readings = Array.from({ length: 120 }, (_, minute) => [
    { t: iso(minute), keg: 'one', kind: 'beer-temperature', value: 4 },
    { t: iso(minute), keg: 'one', kind: 'headspace-pressure', value: 11.5, unit: '[psi]' },
  ]);
  const text = (lines: readonly object[]) => lines.map((line) => `${JSON.stringify(line)}\n`).join('');
  await mkdir(at('recorded'));
  await writeFile(at('recorded', 'events.jsonl'), text(entries));
  await writeFile(at('recorded', 'readings.jsonl'), text(readings.flat()));
}

test('an import into a running service is seen at once, and comes out as from a stopped one', async () => {
  await recordedFolder();
  const program = await started('live');
  expect(await quietkeg('import', 'recorded', 'live')).toContain(
    '3 entries and 240 readings are new in the service at http',
  );
  const state = await eventually(
    () => getJson<KegState>(program, 'api/v1/kegs/one/state'),
    ({ dissolved }) => dissolved !== null,
  );
  expect(state).toMatchObject({ gas: 'on', beerTemperatureC: 4 });
  const { batchId } = state;
  const curve = await getJson<Curve>(program, `api/v1/batches/${batchId}/curve?points=60`);
  expect(curve.columns.beerTemperatureC.mean.filter((mean) => mean === 4).length).toBeGreaterThan(20);

  expect(await quietkeg('import', 'recorded', 'live')).toContain('3 entries and 240 readings were here already');
  await quietkeg('export', 'beside', 'live', ['--keg', 'one']);
  expect((await program.end('SIGTERM')).code).toBe(0);
  await quietkeg('export', 'stopped', 'live', ['--keg', 'one']);
  expect(await folderTexts('stopped')).toEqual(await folderTexts('beside'));

  // Into a stopped instance, out again, and into one that runs.
  await quietkeg('import', 'stopped', 'second');
  await quietkeg('export', 'from-second', 'second', ['--keg', 'one']);
  expect(await folderTexts('from-second')).toEqual(await folderTexts('beside'));
  await started('third');
  await quietkeg('import', 'from-second', 'third');
  await quietkeg('export', 'from-third', 'third', ['--keg', 'one']);
  expect(await folderTexts('from-third')).toEqual(await folderTexts('beside'));
});

test('an import that the service refuses says why', async () => {
  const program = await started('live');
  await send(program, 'PUT', 'api/v1/kegs/one', {});
  await writeFile(
    at('bad.ndjson'),
    `{"t":"2026-01-01T00:00:00Z","keg":"one","kind":"beer-temperature","value":4,"probe":"nobody"}\n`,
  );
  await expect(quietkeg('import', 'bad.ndjson', 'live')).rejects.toMatchObject({
    code: 1,
    stderr: expect.stringContaining('bad.ndjson:1: probe: nobody is not known here'),
  });
});
