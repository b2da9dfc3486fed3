/**
 * Run by full-disk.test.ts in a process whose files may not grow beyond a few kilobytes: the kernel then writes the part
 * that fits and refuses the rest, as a full disk does.
 */
import { statSync } from 'node:fs';
import { join } from 'node:path';
import process from 'node:process';
import { FileSpool } from '../../../src/adapters/spool/file-spool.ts';
import { appendOne, nth, numberOf, readAll } from './spooled.ts';

const folder = process.argv[2] ?? '';
const spool = new FileSpool(folder);
await spool.open(() => undefined);
const outcome = (n: number, bytes: number) =>
  appendOne(spool, nth(n, { payload: new Uint8Array(bytes) })).then(
    () => 'kept',
    (error: NodeJS.ErrnoException) => String(error.code),
  );
const first = await outcome(1, 3000);
const tooMuch = await outcome(2, 30_000);
const troubleWhenFull = spool.trouble();
const sizeWhenFull = statSync(join(folder, '0000000001.log')).size;
const small = await outcome(3, 10);
const records = (await readAll(spool, { segment: 1, offset: 0 })).map(numberOf);
const told = { first, tooMuch, troubleWhenFull, sizeWhenFull, small, trouble: spool.trouble(), records };
process.stdout.write(JSON.stringify(told));
