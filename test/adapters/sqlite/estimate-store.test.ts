import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { afterEach, describe, expect, test } from 'vitest';
import { SqliteEstimateStore } from '../../../src/adapters/sqlite/sqlite-estimate-store.ts';
import { describeEstimateStore } from '../../ports/estimate-store.suite.ts';
import { MINUTE, NOON } from '../../support/builders.ts';
import { removeFolders, temporaryFolder } from '../../support/temporary-folder.ts';

removeFolders();

let opened: SqliteEstimateStore[] = [];
afterEach(async () => {
  for (const store of opened) await store.close();
  opened = [];
});

function at(path: string): SqliteEstimateStore {
  const store = new SqliteEstimateStore(path);
  opened.push(store);
  return store;
}

describeEstimateStore('SQLite', async () => at(join(temporaryFolder(), 'estimates.sqlite')));

const aBase = { atMs: NOON, basis: 'what it rests on', body: { filling: null, snapshot: new Float64Array([1.5, -2]) } };

describe('the shelf of bases', () => {
  test('gives back what was put aside, also after it was opened again', async () => {
    const path = join(temporaryFolder(), 'deep', 'estimates.sqlite');
    const store = at(path);
    store.saveBase('b1', aBase);
    store.saveBase('b2', { ...aBase, atMs: NOON + MINUTE });
    store.saveBase('b1', { ...aBase, basis: 'something else' });
    await store.close();
    const again = at(path);
    expect(again.base('b1')).toEqual({ ...aBase, basis: 'something else' });
    expect(again.times()).toEqual(new Map(Object.entries({ b1: NOON, b2: NOON + MINUTE })));
    again.removeBase('b1');
    expect(again.base('b1')).toBeNull();
    expect(again.times().has('b1')).toBe(false);
  });

  test('has none where it was damaged', async () => {
    const path = join(temporaryFolder(), 'estimates.sqlite');
    const store = at(path);
    store.saveBase('b1', aBase);
    await store.close();
    const file = new DatabaseSync(path);
    file.prepare('update base set body = ?').run(new Uint8Array([1, 2, 3]));
    file.close();
    expect(at(path).base('b1')).toBeNull();
  });

  test('begins anew with a file of another layout', async () => {
    const path = join(temporaryFolder(), 'estimates.sqlite');
    const other = new DatabaseSync(path);
    other.exec('create table estimate (something text); pragma user_version = 77');
    other.close();
    const store = at(path);
    await store.save([
      { batchId: 'b1', atMs: NOON, volumes: 1, low: 0.8, high: 1.2, equilibriumVolumes: 2, leak: 'none' },
    ]);
    expect(await store.range('b1', NOON, NOON + 1)).toHaveLength(1);
  });

  test('begins anew with a file that is no database', () => {
    const path = join(temporaryFolder(), 'estimates.sqlite');
    writeFileSync(path, 'not a database at all, '.repeat(100));
    expect(at(path).times().size).toBe(0);
  });
});
