/**
 * Aim: what an earlier version kept, restored from its backup, is brought up to date by the start of this one, after a
 * backup of its own. Method: a data folder at every step of both layouts, with a row in every table that is the owner's.
 */
import { mkdirSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { describe, expect, test } from 'vitest';
import { CATALOGUE_STEPS, migrate } from '../src/adapters/sqlite/catalogue-schema.ts';
import { layoutOf } from '../src/adapters/sqlite/database-copy.ts';
import { migrateReadings, READING_STEPS } from '../src/adapters/sqlite/reading-schema.ts';
import { openCatalogueFile, SqliteCatalogue } from '../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteReadingStore } from '../src/adapters/sqlite/sqlite-reading-store.ts';
import { makeBackup } from '../src/backup.ts';
import { backupBeforeUpdate } from '../src/compose-ops.ts';
import { loadSettings } from '../src/config/load.ts';
import { restoreBackup } from '../src/restore.ts';
import { NOON } from './support/builders.ts';
import { FakeClock } from './support/fake-clock.ts';
import { keptLog } from './support/kept-log.ts';
import { removeFolders, temporaryFolder } from './support/temporary-folder.ts';

removeFolders();

/** A data folder as the version left it that knew so many steps. */
function oldFolder(data: string, catalogueStep: number, readingStep: number): void {
  mkdirSync(data);
  const catalogue = new DatabaseSync(join(data, 'catalogue.sqlite'));
  catalogue.exec('pragma journal_mode = wal');
  migrate(catalogue, catalogueStep);
  catalogue.exec(
    `insert into site values (1, 450, 1, 'Europe/Berlin', null, '{"temperature":"Cel","pressure":"bar","carbonation":"volumes","volume":"L"}');
     insert into place values ('fridge', 'Fridge'); insert into supply values ('gas', 'Gas', null, null);
     insert into keg (keg_id, name, capacity_l, place_id, supply_id) values ('one', 'Left', 19, 'fridge', 'gas');
     insert into batch (batch_id, keg_id, name, began_at_ms) values ('b1', 'one', 'Gate Post', 1000);`,
  );
  catalogue.close();
  const readings = new DatabaseSync(join(data, 'readings.sqlite'));
  readings.exec('pragma journal_mode = wal');
  migrateReadings(readings, readingStep);
  readings.exec(
    `insert into probe (key, id) values (1, 'one.beer-temperature');
     insert into reading values (1, ${NOON}, 1, 3.25, 0, 0); insert into incoming values (1, ${NOON + 1000}, 1, 3.5, 0, 0);`,
  );
  readings.close();
}

const upTo = (last: number) => Array.from({ length: last }, (_, n) => n + 1);
/** Every step of either, beside the newest of the other, and the oldest of both. */
const steps: readonly (readonly [number, number])[] = [
  ...upTo(CATALOGUE_STEPS).map((catalogue) => [catalogue, READING_STEPS] as const),
  ...upTo(READING_STEPS - 1).map((reading) => [CATALOGUE_STEPS, reading] as const),
  [1, 1],
];

function settingsOf(data: string, more: Record<string, string> = {}) {
  const environment = { QUIETKEG_DATA: data, ...more };
  return loadSettings({ file: null, environment, flags: new Map(), demo: false });
}

const layouts = (data: string) =>
  ['catalogue.sqlite', 'readings.sqlite'].map((name) => layoutOf(name, join(data, name))?.made);

describe('a backup of an earlier version', () => {
  test.each(steps)(
    'with catalogue step %d and reading step %d is brought up to date',
    async (catalogueStep, readingStep) => {
      const base = temporaryFolder();
      oldFolder(join(base, 'old'), catalogueStep, readingStep);
      const { file } = await makeBackup({
        data: join(base, 'old'),
        target: join(base, 'old.tar.gz'),
        version: '0.0.1',
        influx: false,
        nowMs: NOON,
      });
      // Making it changed nothing: the older version can go on with its folder.
      expect(layouts(join(base, 'old'))).toEqual([catalogueStep, readingStep]);
      const data = join(base, 'new');
      await restoreBackup({ file, data, replace: false, nowMs: NOON });
      expect(layouts(data)).toEqual([catalogueStep, readingStep]);

      const { log, lines } = keptLog();
      await backupBeforeUpdate({ settings: settingsOf(data), version: '1.2.3', clock: new FakeClock(NOON), log });
      const isOld = catalogueStep < CATALOGUE_STEPS || readingStep < READING_STEPS;
      const backups = isOld ? readdirSync(join(data, 'backups')) : [];
      expect(backups).toEqual(isOld ? ['before-update-2026-06-01T120000Z.tar.gz'] : []);
      expect(lines).toHaveLength(isOld ? 2 : 0);

      const database = openCatalogueFile(join(data, 'catalogue.sqlite'));
      const catalogue = new SqliteCatalogue(database);
      expect(catalogue.site()).toMatchObject({ altitudeM: 450, timeZone: 'Europe/Berlin' });
      expect(catalogue.kegs()).toMatchObject([{ kegId: 'one', name: 'Left' }]);
      expect(catalogue.batches()).toMatchObject([{ batchId: 'b1', name: 'Gate Post' }]);
      database.close();
      const store = new SqliteReadingStore({ path: join(data, 'readings.sqlite') });
      await store.open();
      const found = await store.range('one.beer-temperature', 0, NOON * 2, 10);
      expect(found.map(({ value }) => value)).toEqual([3.25, 3.5]);
      await store.close();
      expect(layouts(data)).toEqual([CATALOGUE_STEPS, READING_STEPS]);
    },
  );
});

describe('before an update', () => {
  const startOn = (data: string, more: Record<string, string> = {}) =>
    backupBeforeUpdate({
      settings: settingsOf(data, more),
      version: '1',
      clock: new FakeClock(NOON),
      log: keptLog().log,
    });

  test('a backup that cannot be made stops the start, and says how to go on without', async () => {
    const base = temporaryFolder();
    oldFolder(join(base, 'data'), 1, 1);
    const elsewhere = { QUIETKEG_BACKUP_FOLDER: '/proc/quietkeg' };
    await expect(startOn(join(base, 'data'), elsewhere)).rejects.toThrow(/ENOENT|cannot|no such/i);
    await startOn(join(base, 'data'), { ...elsewhere, QUIETKEG_BACKUP_BEFORE_UPDATE: 'false' });
    expect(layouts(join(base, 'data'))).toEqual([1, 1]);
  });

  test('what a newer version wrote is refused, readings too', async () => {
    const base = temporaryFolder();
    const data = join(base, 'data');
    oldFolder(data, CATALOGUE_STEPS, READING_STEPS);
    const readings = new DatabaseSync(join(data, 'readings.sqlite'));
    readings.exec('pragma user_version = 99');
    readings.close();
    await expect(startOn(data)).rejects.toThrow(/readings\.sqlite was written by a newer version \(schema 99/);
  });

  test('an empty folder needs none', async () => {
    const base = temporaryFolder();
    await startOn(base);
    expect(readdirSync(base)).toEqual([]);
  });
});
