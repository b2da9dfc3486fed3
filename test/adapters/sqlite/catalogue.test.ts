import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { describe, expect, test } from 'vitest';
import { lockFolder } from '../../../src/adapters/sqlite/folder-lock.ts';
import { openCatalogueFile, SqliteCatalogue } from '../../../src/adapters/sqlite/sqlite-catalogue.ts';
import type { Batch, Keg, Site, Supply } from '../../../src/domain/catalogue.ts';
import type { KegEvent } from '../../../src/domain/event.ts';
import type { Probe } from '../../../src/domain/probe.ts';
import { aBatch, aFilling, aKeg, anEvent, aProbe, aSite, HOUR, NOON } from '../../support/builders.ts';
import { removeFolders, temporaryFolder } from '../../support/temporary-folder.ts';

removeFolders();

/** A catalogue in a file, and the same again after closing it. */
function inFile() {
  const path = join(temporaryFolder(), 'catalogue.sqlite');
  let database = openCatalogueFile(path);
  return {
    path,
    catalogue: new SqliteCatalogue(database),
    reopen: () => {
      database.close();
      database = openCatalogueFile(path);
      return new SqliteCatalogue(database);
    },
    database: () => database,
  };
}

describe('a new catalogue', () => {
  test('holds a site at assumed sea level, one place and one gas supply', () => {
    const { catalogue } = inFile();
    expect(catalogue.site()).toMatchObject({ altitudeM: 0, altitudeIsSet: false, line: null });
    expect(catalogue.places()).toEqual([{ placeId: 'fridge', name: 'Fridge' }]);
    expect(catalogue.supplies()).toEqual([{ supplyId: 'gas', name: 'Gas', co2Ratio: 1, cylinderKg: null }]);
    expect([catalogue.kegs(), catalogue.batches(), catalogue.probes(), catalogue.events()]).toEqual([[], [], [], []]);
  });

  test('that was changed is not made new again', () => {
    const { catalogue, reopen } = inFile();
    catalogue.savePlace({ placeId: 'garage', name: 'Garage' });
    catalogue.removePlace('fridge');
    catalogue.saveSupply({ supplyId: 'gas', name: 'Mixed', co2Ratio: null, cylinderKg: 10 });
    const again = reopen();
    expect(again.places().map(({ placeId }) => placeId)).toEqual(['garage']);
    expect(again.supplies()).toEqual([{ supplyId: 'gas', name: 'Mixed', co2Ratio: null, cylinderKg: 10 }]);
  });
});

const site: Site = aSite({
  altitudeM: -12.5,
  timeZone: 'Europe/Vienna',
  line: { boreMm: 4.8, lengthM: 2.5, liftM: -0.2 },
  units: { temperature: '[degF]', pressure: '[psi]', carbonation: 'g/L', volume: '[gal_us]' },
});
const supply: Supply = { supplyId: 'bulk', name: 'Tank "1"; drop table keg', co2Ratio: 0.7, cylinderKg: 37.5 };
const keg: Keg = aKeg({ name: 'Ж ☃', capacityL: 18.93, diameterMetres: 0.2159, workingKpaGaugeMax: 896 });
const batch: Batch = aBatch({ brewId: 'b-7', style: 'Amber', abvPercent: 5.1, originalExtractPlato: 12.5 });
const probe: Probe = aProbe('regulator-pressure', {
  probeId: 'board.0',
  topic: 'cellar/board',
  pointer: '/a~1b/0',
  unit: '[psi]',
  reference: 'absolute',
  timeUnit: 'ms',
  calibration: [{ fromMs: NOON, offset: -0.25, gain: 1.01 }],
});
const events: KegEvent[] = [
  anEvent(NOON, aFilling({ diameterMetres: 0.2 }), { eventId: 'filled' }),
  anEvent(NOON + 1, { kind: 'fridge-set', celsius: -1 }, { eventId: 'f', subject: { kind: 'place', id: 'fridge' } }),
  anEvent(NOON + 2, { kind: 'regulator-set', kpaGauge: 70 }, { eventId: 'r', subject: { kind: 'supply', id: 'gas' } }),
  anEvent(NOON + 3, { kind: 'note', text: 'Ж\n"quoted" \u0000' }, { eventId: 'n', enteredAtMs: NOON + HOUR }),
];

function saveAll(catalogue: SqliteCatalogue): void {
  catalogue.saveSite(site);
  catalogue.saveSupply(supply);
  catalogue.saveKeg(keg);
  catalogue.saveBatch(batch);
  catalogue.saveProbe(probe);
  for (const event of events) catalogue.saveEvent(event);
  catalogue.saveDismissedKeg('two', true);
  catalogue.saveDismissedKeg('two', true);
}

describe('what is kept comes back as it was', () => {
  test('after closing and opening', () => {
    const { catalogue, reopen } = inFile();
    saveAll(catalogue);
    const again = reopen();
    expect(again.site()).toEqual(site);
    expect(again.supplies().at(-1)).toEqual(supply);
    expect(again.kegs()).toEqual([keg]);
    expect(again.batches()).toEqual([batch]);
    expect(again.probes()).toEqual([probe]);
    expect(again.events()).toEqual(events);
    expect(again.dismissedKegs()).toEqual(['two']);
  });

  test('with nulls where nothing was said', () => {
    const { catalogue, reopen } = inFile();
    saveAll(catalogue);
    catalogue.saveSite({ ...site, line: null, altitudeIsSet: false });
    catalogue.saveKeg(aKeg());
    catalogue.saveBatch(aBatch({ endedAtMs: NOON }));
    catalogue.saveProbe({ ...probe, pointer: null, unit: null, reference: null, timeUnit: null, calibration: [] });
    const again = reopen();
    expect(again.site()).toMatchObject({ line: null, altitudeIsSet: false });
    expect(again.kegs()).toEqual([aKeg()]);
    expect(again.batches()).toEqual([aBatch({ endedAtMs: NOON })]);
    expect(again.probes()).toMatchObject([{ pointer: null, unit: null, calibration: [] }]);
  });

  test('and is gone when it is removed', () => {
    const { catalogue } = inFile();
    saveAll(catalogue);
    catalogue.removeKeg('one');
    catalogue.removeBatch('b1');
    catalogue.removeProbe('board.0');
    for (const { eventId } of events) catalogue.removeEvent(eventId);
    catalogue.saveDismissedKeg('two', false);
    catalogue.removeSupply('bulk');
    expect([
      catalogue.kegs(),
      catalogue.batches(),
      catalogue.probes(),
      catalogue.events(),
      catalogue.dismissedKegs(),
    ]).toEqual([[], [], [], [], []]);
  });

  test('in the order in which things happened', () => {
    const { catalogue } = inFile();
    for (const event of events.toReversed()) catalogue.saveEvent(event);
    catalogue.saveBatch(aBatch({ batchId: 'late', beganAtMs: NOON + HOUR, endedAtMs: NOON + 2 * HOUR }));
    catalogue.saveBatch(aBatch({ batchId: 'early', beganAtMs: NOON, endedAtMs: NOON + HOUR }));
    expect(catalogue.events()).toEqual(events);
    expect(catalogue.batches().map(({ batchId }) => batchId)).toEqual(['early', 'late']);
  });
});

describe('rules of the catalogue', () => {
  test('a keg stands in a place and on a supply that exist', () => {
    const { catalogue } = inFile();
    expect(() => catalogue.saveKeg(aKeg({ placeId: 'attic' }))).toThrow(/FOREIGN KEY/);
    catalogue.saveKeg(aKeg());
    expect(() => catalogue.removePlace('fridge')).toThrow(/FOREIGN KEY/);
    expect(() => catalogue.removeSupply('gas')).toThrow(/FOREIGN KEY/);
  });

  test('a keg has one open batch', () => {
    const { catalogue } = inFile();
    catalogue.saveBatch(aBatch());
    expect(() => catalogue.saveBatch(aBatch({ batchId: 'b2' }))).toThrow(/UNIQUE/);
  });

  test('several writes are kept together, or none of them', () => {
    const { catalogue, reopen } = inFile();
    expect(() =>
      catalogue.together(() => {
        catalogue.savePlace({ placeId: 'garage', name: 'Garage' });
        catalogue.saveKeg(aKeg({ placeId: 'attic' }));
      }),
    ).toThrow(/FOREIGN KEY/);
    expect(catalogue.places()).toHaveLength(1);
    const inner = catalogue.together(() =>
      catalogue.together(() => {
        catalogue.savePlace({ placeId: 'garage', name: 'Garage' });
        return 'done';
      }),
    );
    expect(inner).toBe('done');
    expect(reopen().places()).toHaveLength(2);
  });
});

describe('the file', () => {
  test('of an older version is brought up to date, with what it keeps', () => {
    const { path, database } = inFile();
    database().close();
    const old = new DatabaseSync(path);
    // As the first version left it.
    old.exec(`alter table batch drop column limits; drop table verdict_change; drop table gap_mark;
      alter table keg drop column learns_from_ms; drop table delivery; drop table fill_plan;
      drop index episode_untold; drop index episode_of_target; drop table rule_setting; drop table keg_view; drop table fill_bottle; drop table fill;
      drop table ready_forecast; drop table ready_came;
      alter table episode drop column untold; alter table probe drop column availability;
      drop table passphrase; drop table session; drop table invitation; drop table mqtt_user; pragma user_version = 1`);
    old.exec(`insert into batch values ('b1', 'one', null, 'Gate Post', 'bitter', 4.1, null, 1000, null)`);
    old.close();
    const [batch] = new SqliteCatalogue(openCatalogueFile(path)).batches();
    expect(batch).toMatchObject({ batchId: 'b1', name: 'Gate Post', abvPercent: 4.1, limits: {} });
  });

  test('of a newer version is refused, and left alone', () => {
    const { path, database } = inFile();
    database().exec('pragma user_version = 99');
    database().close();
    expect(() => openCatalogueFile(path)).toThrow(
      /written by a newer version \(schema 99, this one knows \d+\); update the program/,
    );
    const left = new DatabaseSync(path);
    expect(left.prepare('pragma user_version').get()).toEqual({ user_version: 99 });
    left.close();
  });

  test('survives a power cut: each write is synced', () => {
    const { database } = inFile();
    expect(database().prepare('pragma synchronous').get()).toEqual({ synchronous: 2 });
    expect(database().prepare('pragma journal_mode').get()).toEqual({ journal_mode: 'wal' });
    expect(database().prepare('pragma foreign_keys').get()).toEqual({ foreign_keys: 1 });
  });

  test('with a subject that nobody can read says which probe it is', () => {
    const { catalogue, database } = inFile();
    catalogue.saveProbe(aProbe('beer-temperature'));
    database().exec(`update probe set subject = 'shelf/one'`);
    expect(() => catalogue.probes()).toThrow('probe one.beer-temperature: subject shelf/one is unreadable');
  });

  test('without a site says so', () => {
    const { catalogue, database } = inFile();
    database().exec('delete from site');
    expect(() => catalogue.site()).toThrow('the catalogue holds no site');
  });
});

describe('the lock of a folder', () => {
  test('is held by one at a time, and free again afterwards', () => {
    const folder = temporaryFolder();
    const unlock = lockFolder(folder);
    expect(() => lockFolder(folder)).toThrow(
      /another service uses the folder .*; stop it, or choose another with --data/,
    );
    unlock();
    lockFolder(folder)();
  });
});
