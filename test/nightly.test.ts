/** Aim: the service's own backup is made by a process of its own, is a whole one, and its trouble becomes known. */
import { existsSync, mkdirSync, readdirSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, expect, test } from 'vitest';
import { NightlyFolder } from '../src/adapters/archive/nightly-folder.ts';
import { operations } from '../src/compose-ops.ts';
import { loadSettings } from '../src/config/load.ts';
import { restoreBackup } from '../src/restore.ts';
import { keptFolder } from './cli/kept-folder.ts';
import { MINUTE, NOON } from './support/builders.ts';
import { rowsOf } from './support/database-rows.ts';
import { FakeClock } from './support/fake-clock.ts';
import { removeFolders, temporaryFolder } from './support/temporary-folder.ts';
import { World } from './support/world.ts';

removeFolders();

let base: string;
const at = (...names: string[]) => join(base, ...names);
beforeEach(async () => {
  base = temporaryFolder();
  const kept = await keptFolder(at('data'), NOON);
  kept.kegs.putKeg('one', { name: 'Left' });
  kept.hear('probes/one/beer-temperature', '3.3');
  await kept.flush();
  await kept.close();
});

/** Looks through a folder as the service does, with a command that a test chooses. */
const folderOf = (script: string) =>
  new NightlyFolder({
    folder: () => at('backups'),
    command: () => ['/bin/sh', '-c', script],
    environment: {},
    nowMs: () => Date.now(),
  });

test('the service makes one of what it keeps, and it can be restored', async () => {
  const clock = new FakeClock(NOON);
  // Waited for without looking again and again: its process has a lower claim on the processor.
  let tell = (_line: string) => {};
  const told = new Promise<string>((resolve) => {
    tell = resolve;
  });
  const log = { info: tell, warn: tell, error: tell };
  const world = await World.make();
  const environment = { QUIETKEG_DATA: at('data'), QUIETKEG_BACKUP_FOLDER: at('stick', 'kegs') };
  const settings = loadSettings({ file: null, environment, flags: new Map(), demo: false });
  const { nightly, machine } = operations({ settings, clock, log, services: () => world.services });
  nightly.start();
  clock.advance(10 * MINUTE);
  expect(await told).toMatch(/^the nightly backup nightly-.*Z\.tar\.gz is made and was restored once$/);
  const [name = ''] = readdirSync(at('stick', 'kegs'));
  await restoreBackup({ file: at('stick', 'kegs', name), data: at('restored'), replace: false, nowMs: NOON });
  expect(rowsOf(at('restored'))).toEqual(rowsOf(at('data')));
  expect(machine().newestBackupMs).toBeGreaterThan(Date.UTC(2025, 0));
  await nightly.stop();
}, 120_000);

test('what the process says when it fails is the trouble', async () => {
  expect(await folderOf('echo "quietkeg backup: the disk is full" >&2; exit 1').make()).toEqual({
    ok: false,
    trouble: 'quietkeg backup: the disk is full',
  });
  expect(await folderOf('exit 3').make()).toEqual({ ok: false, trouble: 'the backup ended with code 3' });
  expect(await folderOf('exit 0').make()).toEqual({ ok: false, trouble: 'the backup ended well and left no file' });
});

test('one that takes for ever is broken off when the service stops', async () => {
  const folder = folderOf('exec sleep 600');
  const made = folder.make();
  // The process is there from the moment that it was asked for.
  folder.stop();
  expect(await made).toMatchObject({ ok: false });
});

test('what was left of one that was broken off goes, what may be at work stays, and so does all else', async () => {
  mkdirSync(at('backups', '.making-backup-old'), { recursive: true });
  mkdirSync(at('backups', '.making-backup-new'));
  writeFileSync(at('backups', 'holiday.jpg'), '');
  const longAgo = Date.now() / 1000 - 7 * 3600;
  utimesSync(at('backups', '.making-backup-old'), longAgo, longAgo);
  const name = 'nightly-2026-06-01T013000Z.tar.gz';
  const folder = folderOf(`echo x > ${at('backups', name)}`);
  expect(await folder.make()).toEqual({ ok: true, name, bytes: 2 });
  expect(readdirSync(at('backups')).toSorted()).toEqual(['.making-backup-new', 'holiday.jpg', name]);
  expect(folder.list()).toEqual([{ name, atMs: Date.UTC(2026, 5, 1, 1, 30) }]);
  folder.remove('holiday.jpg');
  folder.remove('../data/catalogue.sqlite');
  folder.remove(name);
  expect(existsSync(at('data', 'catalogue.sqlite'))).toBe(true);
  expect(readdirSync(at('backups')).toSorted()).toEqual(['.making-backup-new', 'holiday.jpg']);
});
