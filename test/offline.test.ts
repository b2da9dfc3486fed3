import { join } from 'node:path';
import { expect, test } from 'vitest';
import { lockFolder, noteAddress } from '../src/adapters/sqlite/folder-lock.ts';
import { SqliteEstimateStore } from '../src/adapters/sqlite/sqlite-estimate-store.ts';
import { loadSettings } from '../src/config/load.ts';
import { openForImport } from '../src/offline.ts';
import { DAY, iso, NOON } from './support/builders.ts';
import { removeFolders, temporaryFolder } from './support/temporary-folder.ts';

removeFolders();

const settingsOf = (data: string) =>
  loadSettings({ file: null, environment: {}, flags: new Map([['--data', data]]), demo: false });

test('an import drops what was put aside of estimates that do not know its readings, before it stores them', async () => {
  const data = temporaryFolder();
  const shelf = new SqliteEstimateStore(join(data, 'estimates.sqlite'));
  const base = { basis: 'entries', body: null };
  shelf.saveBase('ended-before', { ...base, atMs: NOON - 2 * DAY });
  shelf.saveBase('ended-after', { ...base, atMs: NOON });
  const opened = await openForImport(settingsOf(data));
  if (!('kegImport' in opened)) throw new Error('nobody holds this folder');
  const reading = { t: iso(NOON - DAY), keg: 'one', kind: 'beer-temperature', value: 4 } as const;
  const outcome = await opened.kegImport.take({ events: [], fills: [], readings: [reading] });
  expect(outcome).toMatchObject({ ok: true, value: { readings: { stored: 1 } } });
  await opened.close();
  expect([...shelf.times().keys()]).toEqual(['ended-before']);
  await shelf.close();
});

test('a folder that a service holds is left to it', async () => {
  const data = temporaryFolder();
  const release = lockFolder(data);
  await expect(openForImport(settingsOf(data))).rejects.toThrow(/held by a service that is starting or stopping/);
  noteAddress(data, 'http://127.0.0.1:8420', 'k');
  expect(await openForImport(settingsOf(data))).toEqual({ runningAt: { address: 'http://127.0.0.1:8420', key: 'k' } });
  release();
});
