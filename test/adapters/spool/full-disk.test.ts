import { execFile } from 'node:child_process';
import process from 'node:process';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { expect, test } from 'vitest';
import { FileSpool } from '../../../src/adapters/spool/file-spool.ts';
import { removeFolders, temporaryFolder } from '../../support/temporary-folder.ts';
import { appendAll, nth, numberOf, readAll } from './spooled.ts';

removeFolders();

test('a write that ends half-way is told, leaves nothing half, and later appends work', async () => {
  const folder = temporaryFolder();
  const program = fileURLToPath(new URL('./full-disk-program.ts', import.meta.url));
  // 16 blocks of 512 or 1,024 bytes, by shell: more than the first message, less than the second.
  const { stdout } = await promisify(execFile)('/bin/sh', [
    '-c',
    'ulimit -f 16 && exec "$0" "$@"',
    process.execPath,
    program,
    folder,
  ]);
  const told = JSON.parse(stdout);
  expect(told).toMatchObject({ first: 'kept', tooMuch: 'EFBIG', small: 'kept', trouble: null, records: [1, 3] });
  expect(told.troubleWhenFull).toMatch(/cannot write to .*EFBIG/);
  expect(told.sizeWhenFull).toBeLessThan(3100);
  const spool = new FileSpool(folder);
  await spool.open(() => undefined);
  await appendAll(spool, [nth(4)]);
  expect((await readAll(spool, { segment: 1, offset: 0 })).map(numberOf)).toEqual([1, 3, 4]);
  await spool.close();
});
