import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { prepareReadingFile } from '../../../src/adapters/sqlite/reading-schema.ts';
import { prepareReadingStatements } from '../../../src/adapters/sqlite/reading-statements.ts';
import { SqliteReadingStore } from '../../../src/adapters/sqlite/sqlite-reading-store.ts';
import type { Reading } from '../../../src/domain/reading.ts';

/** What is particular to SQLite; what every store must do is in test/ports/reading-store.suite.ts. */

const NOON = Date.UTC(2026, 5, 1, 12);
const ALL: [number, number, number] = [0, Number.MAX_SAFE_INTEGER, 1_000_000];

let folder = '';
let path = '';
const opened: SqliteReadingStore[] = [];

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'quietkeg-readings-'));
  path = join(folder, 'readings.sqlite');
});

afterEach(async () => {
  for (const store of opened.splice(0)) await store.close();
  rmSync(folder, { recursive: true });
});

async function openStore(): Promise<SqliteReadingStore> {
  const store = new SqliteReadingStore({ path });
  opened.push(store);
  await store.open();
  return store;
}

const minutes = (probeId: string, from: number, count: number): Reading[] =>
  Array.from({ length: count }, (_, i) => {
    const measuredAtMs = NOON + (from + i) * 60_000;
    return { probeId, measuredAtMs, value: from + i, receivedAtMs: measuredAtMs, timeFrom: 'device' };
  });

function numberIn(table: 'incoming' | 'reading'): number {
  const db = new DatabaseSync(path, { readOnly: true });
  const count = Number(db.prepare(`select count(*) as n from ${table}`).get()?.n);
  db.close();
  return count;
}

test('constructing touches nothing', () => {
  new SqliteReadingStore({ path: '/dev/null/impossible' });
});

test('readings wait in the append-only table and move to the sorted one in one large portion', async () => {
  const store = await openStore();
  await store.append(minutes('a', 0, 6000));
  expect([numberIn('incoming'), numberIn('reading')]).toEqual([6000, 0]);
  await store.append([...minutes('b', 0, 1000), ...minutes('a', 6000, 3000)]);
  expect([numberIn('incoming'), numberIn('reading')]).toEqual([0, 10_000]);
  await store.append(minutes('a', 8990, 15));
  expect([numberIn('incoming'), numberIn('reading')]).toEqual([5, 10_000]);
  expect((await store.range('a', ...ALL)).map((one) => one.value)).toEqual(Array.from({ length: 9005 }, (_, i) => i));
  expect((await store.latest('a', 10)).map((one) => one.value)).toEqual([
    8995, 8996, 8997, 8998, 8999, 9000, 9001, 9002, 9003, 9004,
  ]);
  expect(await store.append(minutes('a', 0, 9005))).toEqual({ stored: 0, duplicates: 9005, refused: [] });
});

test('an ordinal counts on from readings that have moved', async () => {
  const store = await openStore();
  await store.append(minutes('a', 0, 10_000));
  const again = minutes('a', 0, 2).map((one) => ({ ...one, value: one.value + 0.5 }));
  await store.append(again);
  expect((await store.range('a', NOON, NOON + 120_000, 9)).map((one) => [one.value, one.ordinal])).toEqual([
    [0, 1],
    [0.5, 2],
    [1, 1],
    [1.5, 2],
  ]);
});

test('a bucket spans moved and waiting readings', async () => {
  const store = await openStore();
  await store.append(minutes('a', 0, 10_000));
  await store.append(minutes('a', 10_000, 10));
  const last = (await store.buckets('a', ...(ALL.slice(0, 2) as [number, number]), 3_600_000)).slice(-1);
  expect(last).toEqual([{ startMs: NOON + 166 * 3_600_000, min: 9960, mean: 9984.5, max: 10_009, count: 50 }]);
});

test('two processes may append and read in turn: neither doubles, loses nor misses a reading', async () => {
  const [service, visitor] = [await openStore(), await openStore()];
  await service.append(minutes('a', 0, 10));
  expect(await visitor.latest('a', 1)).toMatchObject([{ value: 9 }]);
  expect(await visitor.append(minutes('a', 5, 10))).toMatchObject({ stored: 5, duplicates: 5 });
  expect(await service.append(minutes('a', 10, 10))).toMatchObject({ stored: 5, duplicates: 5 });
  await visitor.append(minutes('b', 0, 9985));
  expect(numberIn('incoming')).toBe(0);
  expect(await service.range('a', ...ALL)).toHaveLength(20);
  expect(await service.append(minutes('a', 0, 21))).toMatchObject({ stored: 1, duplicates: 20 });
  expect((await visitor.extents()).map((one) => [one.probeId, one.count])).toEqual([
    ['a', 21],
    ['b', 9985],
  ]);
});

test('a batch that fails half-way leaves nothing behind, and the same batch can be sent again', async () => {
  const store = await openStore();
  await store.append(minutes('a', 0, 1));
  const blocker = new DatabaseSync(path);
  blocker.exec(`create trigger no_seven before insert on incoming when new.value = 7
    begin select raise(abort, 'seven'); end`);
  const batch = [...minutes('new', 0, 5), ...minutes('a', 0, 10)];
  await expect(store.append(batch)).rejects.toThrow('seven');
  expect(await store.latest('a', 99)).toHaveLength(1);
  expect(await store.latest('new', 99)).toEqual([]);
  blocker.exec('drop trigger no_seven');
  blocker.close();
  expect(await store.append(batch)).toEqual({ stored: 14, duplicates: 1, refused: [] });
  expect(await store.latest('new', 99)).toHaveLength(5);
});

test('every commit is synced before append resolves', async () => {
  const db = new DatabaseSync(path);
  prepareReadingFile(db, path);
  // 2 is FULL; @source https://www.sqlite.org/pragma.html#pragma_synchronous
  expect(db.prepare('pragma synchronous').get()).toEqual({ synchronous: 2 });
  expect(db.prepare('pragma journal_mode').get()).toEqual({ journal_mode: 'wal' });
  db.close();
});

test('no query reads a whole table', () => {
  const db = new DatabaseSync(path);
  prepareReadingFile(db, path);
  const statements = prepareReadingStatements(db);
  for (const name of ['latest', 'range', 'buckets', 'sameTime', 'besideQuarters', 'extents'] as const) {
    const plan = db.prepare(`explain query plan ${statements[name].sourceSQL}`).all();
    const steps = plan.map((row) => String(row.detail)).join('\n');
    expect(steps).toMatch(/SEARCH (main\.)?reading USING PRIMARY KEY/);
    expect(steps).toMatch(/SEARCH (temp\.)?tail USING PRIMARY KEY/);
    expect(steps).not.toMatch(/SCAN (main\.|temp\.)?(reading|tail|quarter|minute)|TEMP B-TREE FOR ORDER BY/);
  }
  db.close();
});

test('refuses a file of a newer version and leaves it alone', async () => {
  await (await openStore()).close();
  const db = new DatabaseSync(path);
  db.exec('pragma user_version = 99');
  db.close();
  await expect(openStore()).rejects.toThrow(/written by a newer version of Quietkeg \(layout 99/);
});

test('refuses a database of another program', async () => {
  const db = new DatabaseSync(path);
  db.exec('create table recipes (name text)');
  db.close();
  await expect(openStore()).rejects.toThrow(/database of another program/);
});

test('a file of the first layout is brought up to date, with everything in it', async () => {
  const db = new DatabaseSync(path);
  const columns = `probe integer not null, time_ms integer not null, ordinal integer not null, value real not null,
    received_after_ms integer not null, time_from integer not null`;
  db.exec(`
    create table probe (key integer primary key, id text not null unique, moved integer not null default 0) strict;
    create table reading (${columns}, primary key (probe, time_ms, ordinal)) strict, without rowid;
    create table incoming (${columns}) strict;
    create table hour (probe integer not null, start_ms integer not null, low real not null, high real not null,
      total real not null, number integer not null, primary key (probe, start_ms)) strict, without rowid;
    insert into probe values (1, 'a', 3);
    insert into reading values (1, ${NOON}, 1, 4, 0, 0), (1, ${NOON + 60_000}, 1, 6, 0, 0), (1, -1, 1, 9, 0, 0);
    insert into hour values (1, ${NOON}, 4, 6, 10, 2), (1, -3600000, 9, 9, 9, 1);
    insert into incoming values (1, ${NOON + 120_000}, 1, 8, 0, 0);
    pragma application_id = ${0x716b5264}; pragma user_version = 1;`);
  db.close();
  const store = await openStore();
  const everything = [Number.MIN_SAFE_INTEGER, Number.MAX_SAFE_INTEGER] as const;
  expect(await store.buckets('a', ...everything, 900_000)).toEqual([
    { startMs: -900_000, min: 9, mean: 9, max: 9, count: 1 },
    { startMs: NOON, min: 4, mean: 6, max: 8, count: 3 },
  ]);
  expect(await store.retire('a', NOON, NOON + 180_000)).toBe(3);
  expect(await store.buckets('a', NOON, NOON + 180_000, 60_000)).toHaveLength(3);
  expect(await store.extents()).toEqual([{ probeId: 'a', firstMs: -1, lastMs: NOON + 120_000, count: 4 }]);
});

test('another process that has the file open learns what was retired', async () => {
  const [service, visitor] = [await openStore(), await openStore()];
  await service.append(minutes('a', 0, 100));
  expect(await visitor.range('a', ...ALL)).toHaveLength(100);
  await service.retire('a', NOON, NOON + 50 * 60_000);
  expect(await visitor.append(minutes('a', 0, 100))).toMatchObject({ stored: 0, duplicates: 100 });
  expect(await visitor.range('a', ...ALL)).toHaveLength(50);
});

test('hours follow as weeks go by, and late readings of any week are in them', async () => {
  const store = new SqliteReadingStore({ path, incomingRowsMax: 100 });
  opened.push(store);
  await store.open();
  const all: Reading[] = [];
  const add = async (readings: readonly Reading[]) => {
    all.push(...readings);
    await store.append(readings);
  };
  const every10Minutes = (fromDay: number, days: number): Reading[] =>
    Array.from({ length: days * 144 }, (_, i) => {
      const measuredAtMs = NOON + fromDay * 86_400_000 + i * 600_000;
      return { probeId: 'a', measuredAtMs, value: (i * 37) % 101, receivedAtMs: measuredAtMs, timeFrom: 'device' };
    });
  const expectDays = async (fromMs: number, toMs: number, bucketMs: number) => {
    const inside = all.filter(({ measuredAtMs }) => measuredAtMs >= fromMs && measuredAtMs < toMs);
    const spans = Map.groupBy(inside, ({ measuredAtMs }) => Math.floor(measuredAtMs / bucketMs) * bucketMs);
    const expected = [...spans]
      .toSorted(([a], [b]) => a - b)
      .map(([startMs, span]) => {
        const values = span.map(({ value }) => value);
        const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
        return {
          startMs,
          min: Math.min(...values),
          mean: expect.closeTo(mean, 9),
          max: Math.max(...values),
          count: values.length,
        };
      });
    expect(await store.buckets('a', fromMs, toMs, bucketMs)).toEqual(expected);
  };
  const hours = () => {
    const db = new DatabaseSync(path, { readOnly: true });
    const count = Number(db.prepare('select count(*) as n from hour').get()?.n);
    db.close();
    return count;
  };
  const weeks = [NOON - 86_400_000, NOON + 40 * 86_400_000] as const;
  await add(every10Minutes(0, 10));
  await expectDays(...weeks, 86_400_000);
  const first = hours();
  expect(first).toBeGreaterThan(230);
  await add(every10Minutes(10, 1));
  await expectDays(...weeks, 3_600_000);
  expect(hours()).toBe(first);
  await add(every10Minutes(11, 9));
  await add([{ probeId: 'a', measuredAtMs: NOON + 7, value: -50, receivedAtMs: NOON, timeFrom: 'device' }]);
  await add(every10Minutes(20, 1).map((one) => ({ ...one, measuredAtMs: one.measuredAtMs - 18 * 86_400_000 + 1 })));
  await expectDays(...weeks, 86_400_000);
  expect(hours()).toBeGreaterThan(first + 200);
  await store.retire('a', NOON, NOON + 5 * 86_400_000);
  for (const width of [3_600_000, 7_200_000, 86_400_000]) {
    await expectDays(...weeks, width);
    await expectDays(NOON + 90 * 60_000, NOON + 15 * 86_400_000 + 42 * 60_000, width);
  }
});
