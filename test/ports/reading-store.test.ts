import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { MemoryReadingStore } from '../../src/adapters/memory/memory-reading-store.ts';
import { SqliteReadingStore } from '../../src/adapters/sqlite/sqlite-reading-store.ts';
import { describeReadingStore } from './reading-store.suite.ts';

describeReadingStore('MemoryReadingStore', async () => {
  const store = new MemoryReadingStore();
  await store.open();
  return {
    store,
    reopen: async () => {
      await store.close();
      await store.open();
      return store;
    },
    remove: () => store.close(),
  };
});

const inSqlite = (incomingRowsMax: number) => async () => {
  const folder = mkdtempSync(join(tmpdir(), 'quietkeg-readings-'));
  const path = join(folder, 'new', 'readings.sqlite');
  let store = new SqliteReadingStore({ path, incomingRowsMax });
  await store.open();
  return {
    store,
    reopen: async () => {
      await store.close();
      store = new SqliteReadingStore({ path, incomingRowsMax });
      await store.open();
      return store;
    },
    remove: async () => {
      await store.close();
      rmSync(folder, { recursive: true });
    },
  };
};

describeReadingStore('SqliteReadingStore', inSqlite(10_000));
describeReadingStore('SqliteReadingStore that moves readings at every turn', inSqlite(3));
