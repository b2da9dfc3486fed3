/**
 * Aim: `kill -9` neither loses nor repeats news of alerts. Method: a process plays a scripted day on a file and kills itself at
 * a write to the journal; another one goes on where it stopped. `test/app/alert-desk-kill` does the same at every write without
 * processes; here every third is tried for real.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';

const ROOT = new URL('../..', import.meta.url).href;
const folder = mkdtempSync(join(tmpdir(), 'quietkeg-alert-kill-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** The process that is killed: it notes where it is before each step, and what it told, in files. */
const PLAYER = `
import { appendFileSync, existsSync, readFileSync, writeFileSync } from 'node:fs';
import { openCatalogueFile } from '${ROOT}src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '${ROOT}src/adapters/sqlite/sqlite-journal.ts';
import { RULES } from '${ROOT}src/alerts/rules.ts';
import { AlertDesk } from '${ROOT}src/app/alert-desk.ts';
import { scriptedDay } from '${ROOT}test/support/alert-day.ts';
const [path, killAt] = [process.argv[1], Number(process.argv[2])];
const journal = new SqliteJournal(openCatalogueFile(path + '.sqlite'));
let points = 0;
const pass = () => {
  points += 1;
  if (points === killAt) process.kill(process.pid, 'SIGKILL');
};
for (const name of ['saveEpisode', 'saveTurn', 'turnTold', 'removeEpisode']) {
  const write = journal[name].bind(journal);
  journal[name] = (...values) => {
    pass();
    write(...values);
    pass();
  };
}
const tell = ({ id, state }) => appendFileSync(path + '.told', id + (state.kind === 'ended' ? ' end' : ' begin') + '\\n');
const desk = new AlertDesk(journal, tell);
const from = existsSync(path + '.at') ? Number(readFileSync(path + '.at', 'utf8')) : 0;
const day = scriptedDay();
desk.retell();
for (const step of day.slice(0, from)) {
  if (step.kind === 'sample' && RULES[step.sample.rule].rereads) desk.sample(step.sample);
}
for (let at = from; at < day.length; at += 1) {
  writeFileSync(path + '.at', String(at));
  const step = day[at];
  if (step.kind === 'sample') desk.sample(step.sample);
  else step.run(desk);
}
console.log(points);
`;

function play(name: string, killAt: number) {
  const args = ['--no-warnings', '--input-type=module', '-e', PLAYER, '--', join(folder, name), String(killAt)];
  return spawnSync(process.execPath, args, { encoding: 'utf8' });
}

function outcome(name: string) {
  const path = join(folder, name);
  const told = existsSync(`${path}.told`) ? readFileSync(`${path}.told`, 'utf8').trim().split('\n') : [];
  const database = openCatalogueFile(`${path}.sqlite`);
  const kept = new SqliteJournal(database).recentEpisodes(1000);
  database.close();
  return { told: [...new Set(told)].toSorted(), kept };
}

test('killed at a write, a day ends with the journal and the news of a day in peace', { timeout: 15 * 60_000 }, () => {
  const peace = play('peace', -1);
  expect(peace.stderr).toBe('');
  const points = Number(peace.stdout);
  expect(points).toBeGreaterThan(80);
  const wanted = outcome('peace');
  for (let killAt = 1; killAt <= points; killAt += 3) {
    const name = `killed-${killAt}`;
    expect(play(name, killAt).signal).toBe('SIGKILL');
    expect(play(name, -1)).toMatchObject({ status: 0, stderr: '' });
    expect({ killAt, ...outcome(name) }).toEqual({ killAt, ...wanted });
  }
});
