import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { FolderHeldError, lockFolder, noteAddress, notedAddress } from '../../../src/adapters/sqlite/folder-lock.ts';
import { removeFolders, temporaryFolder } from '../../support/temporary-folder.ts';

removeFolders();

test('a folder is held by one at a time', () => {
  const folder = temporaryFolder();
  const release = lockFolder(folder);
  expect(() => lockFolder(folder)).toThrow(FolderHeldError);
  release();
  lockFolder(folder)();
});

test('who cannot even look is not told that another holds it', () => {
  expect(() => lockFolder('/nowhere/at/all')).toThrow(/unable to open/);
});

test('the holder says where it can be asked, until it lets go', () => {
  const folder = temporaryFolder();
  expect(notedAddress(folder)).toBeNull();
  const release = lockFolder(folder);
  noteAddress(folder, 'http://127.0.0.1:8420', 'k');
  expect(notedAddress(folder)).toEqual({ address: 'http://127.0.0.1:8420', key: 'k' });
  release();
  expect(notedAddress(folder)).toBeNull();
});

test('what an earlier holder noted, or a damaged note, leads nowhere', () => {
  const folder = temporaryFolder();
  noteAddress(folder, 'http://127.0.0.1:1', 'k');
  const release = lockFolder(folder);
  expect(notedAddress(folder)).toBeNull();
  writeFileSync(join(folder, 'running.json'), '{"address":5}');
  expect(notedAddress(folder)).toBeNull();
  release();
});
