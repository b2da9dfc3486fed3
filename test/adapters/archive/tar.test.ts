/** Aim: what we write GNU tar reads, and of what others write nothing but plain files with harmless names is taken. */
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import {
  ArchiveError,
  BLOCK_BYTES,
  isArchiveName,
  readTarHeader,
  TAR_END,
  tarHeader,
  tarPadding,
} from '../../../src/adapters/archive/tar.ts';
import { removeFolders, temporaryFolder } from '../../support/temporary-folder.ts';

removeFolders();

const HOSTILE_NAMES = [
  '../catalogue.sqlite',
  '/etc/passwd',
  'spool/../../x',
  'spool//x',
  './x',
  '.',
  '..',
  '',
  '.hidden',
  'spool/',
  'spool/.x',
  'other/x',
  'spool/a/b',
  'a\\..\\b',
  'C:\\x',
  'a\nb',
  'a b',
  'a\u0000b',
  'ä',
  '-rf',
  `${'a'.repeat(81)}`,
];

describe('names', () => {
  test.each(HOSTILE_NAMES)('%j is refused', (name) => {
    expect(isArchiveName(name)).toBe(false);
    expect(() => tarHeader({ name, bytes: 1 })).toThrow(ArchiveError);
  });
  test.each(['catalogue.sqlite', 'spool/0000000001.log', 'a'.repeat(80), 'site.key'])('%j is taken', (name) => {
    expect(isArchiveName(name)).toBe(true);
  });
});

/** The head that GNU tar writes for something, with the name as it is. */
function headFrom(folder: string, name: string, options: readonly string[] = []): Buffer {
  const archive = join(folder, 'other.tar');
  execFileSync('tar', ['--format=ustar', '-P', ...options, '-C', folder, '-cf', archive, name]);
  return readFileSync(archive).subarray(0, BLOCK_BYTES);
}

describe('an archive of another program', () => {
  test('with a plain file is read', () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, 'plain'), 'x'.repeat(700));
    expect(readTarHeader(headFrom(folder, 'plain'))).toEqual({ name: 'plain', bytes: 700 });
  });

  test('with anything else is refused: links, folders, pipes, names that lead out', () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, 'plain'), 'x');
    symlinkSync('/etc/passwd', join(folder, 'soft'));
    mkdirSync(join(folder, 'folder'));
    execFileSync('mkfifo', [join(folder, 'pipe')]);
    for (const name of ['soft', 'folder', 'pipe'])
      expect(() => readTarHeader(headFrom(folder, name)), name).toThrow(/no plain file \(type "\d"\)/);
    execFileSync('ln', [join(folder, 'plain'), join(folder, 'hard')]);
    const archive = join(folder, 'hard.tar');
    execFileSync('tar', ['--format=ustar', '-C', folder, '-cf', archive, 'plain', 'hard']);
    const second = readFileSync(archive).subarray(2 * BLOCK_BYTES, 3 * BLOCK_BYTES);
    expect(() => readTarHeader(second)).toThrow(/"hard" is no plain file \(type "1"\)/);
    expect(() => readTarHeader(headFrom(folder, join(folder, 'plain')))).toThrow(/could lead out/);
    const upwards = headFrom(folder, 'plain', ['--transform', 's,^,../,']);
    expect(() => readTarHeader(upwards)).toThrow(/could lead out/);
    // Long names come as an entry of a type of their own, or with a prefix.
    const long = headFrom(folder, 'plain', ['--transform', `s,^,${'d/'.repeat(60)},`]);
    expect(() => readTarHeader(long)).toThrow(ArchiveError);
  });

  test('with a head that does not add up is refused', () => {
    const head = tarHeader({ name: 'plain', bytes: 3 });
    for (let at = 0; at < BLOCK_BYTES; at += 7) {
      const changed = Buffer.from(head);
      changed.writeUInt8(((changed[at] ?? 0) + 1) % 256, at);
      expect(() => readTarHeader(changed), `byte ${at}`).toThrow(ArchiveError);
    }
    expect(() => readTarHeader(Buffer.alloc(BLOCK_BYTES, 'x'))).toThrow(/no backup/);
  });
});

test('GNU tar reads what we write', () => {
  const folder = temporaryFolder();
  const files = { 'catalogue.sqlite': 'x'.repeat(1000), 'spool/0000000001.log': '', 'site.key': 'y'.repeat(512) };
  const blocks = Object.entries(files).flatMap(([name, text]) => [
    tarHeader({ name, bytes: text.length }),
    Buffer.from(text),
    tarPadding(text.length),
  ]);
  const archive = join(folder, 'ours.tar');
  writeFileSync(archive, Buffer.concat([...blocks, TAR_END]));
  expect(execFileSync('tar', ['-tf', archive], { encoding: 'utf8' }).trim().split('\n')).toEqual(Object.keys(files));
  execFileSync('tar', ['-xf', archive, '-C', folder]);
  for (const [name, text] of Object.entries(files)) expect(readFileSync(join(folder, name), 'utf8')).toBe(text);
});

test.each([0, 1, 511, 512, 8 ** 11 - 1, 8 ** 11, 2 ** 40])('a size of %d is written and read', (bytes) => {
  expect(readTarHeader(tarHeader({ name: 'a', bytes }))).toEqual({ name: 'a', bytes });
});
