import { mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { FileSpool } from '../../../src/adapters/spool/file-spool.ts';
import type { SpoolGroup } from '../../../src/ports/spool.ts';
import { removeFolders, temporaryFolder } from '../../support/temporary-folder.ts';
import { appendAll, appendOne, nth, numberOf, readAll } from './spooled.ts';

removeFolders();

const START = { segment: 1, offset: 0 };
/** Records of this size fill a segment (8 MiB) with nine. */
const MEBIBYTE = new Uint8Array(1_000_000).fill(65);

async function opened(folder = join(temporaryFolder(), 'spool')) {
  const spool = new FileSpool(folder);
  const groups: SpoolGroup[] = [];
  await spool.open((group) => groups.push(group));
  return { spool, groups, folder };
}
const logs = (folder: string) => readdirSync(folder).filter((name) => name.endsWith('.log'));

describe('appending', () => {
  test('keeps every part of a record', async () => {
    const { spool } = await opened();
    const records = [
      nth(1),
      nth(2, { policy: 'import' }),
      nth(3, { retained: true }),
      nth(4, { policy: 'import', retained: true, topic: 'ä/☃/🍺', payload: new Uint8Array(0) }),
      nth(5, { receivedAtMs: 0.25, payload: Uint8Array.from([0, 255, 0x31, 0x52, 0x4b, 0x51]) }),
    ];
    await appendAll(spool, records);
    expect(await readAll(spool, START)).toEqual(records);
    await spool.close();
  });

  test('commits what comes in at once as one group, in order, before it says done', async () => {
    const { spool, groups } = await opened();
    const told: string[] = [];
    const records = Array.from({ length: 50 }, (_, n) => nth(n));
    const appended = records.map(
      (record) =>
        new Promise<void>((resolve) => {
          spool.append(record, (error) => {
            told.push(`${groups.length} ${numberOf(record)} ${error}`);
            resolve();
          });
        }),
    );
    expect(groups).toHaveLength(0);
    await Promise.all(appended);
    expect(groups).toHaveLength(1);
    expect(groups[0]?.records).toEqual(records);
    expect(groups[0]?.end).toEqual(spool.end());
    expect(told).toEqual(records.map((record) => `1 ${numberOf(record)} null`));
    await spool.close();
  });

  test('takes what comes in during a sync into the next group', async () => {
    const { spool, groups } = await opened();
    const seen: number[] = [];
    const more = new Promise<void>((resolve) => {
      spool.append(nth(1), () => {
        spool.append(nth(2), () => undefined);
        spool.append(nth(3), () => resolve());
      });
    });
    await more;
    for (const group of groups) seen.push(group.records.length);
    expect(seen).toEqual([1, 2]);
    expect((await readAll(spool, START)).map(numberOf)).toEqual([1, 2, 3]);
    await spool.close();
  });

  test('is on the disk when it says done', async () => {
    const { spool, folder } = await opened();
    await appendAll(spool, [nth(1)]);
    const other = new FileSpool(folder);
    await other.open(() => undefined);
    expect((await readAll(other, START)).map(numberOf)).toEqual([1]);
    await other.close();
    await spool.close();
  });

  test('is waited for when the spool is closed', async () => {
    const { spool, folder } = await opened();
    const appended = appendAll(spool, [nth(1), nth(2)]);
    await spool.close();
    await appended;
    const { spool: again } = await opened(folder);
    expect((await readAll(again, START)).map(numberOf)).toEqual([1, 2]);
    await again.close();
  });

  test('that follows at once on a done is committed too', async () => {
    const { spool } = await opened();
    // Each append runs in the very step in which the one before it was reported done.
    for (let n = 0; n < 20; n += 1) await appendOne(spool, nth(n));
    expect(await readAll(spool, START)).toHaveLength(20);
    await spool.close();
  });
});

describe('an append that cannot be kept', () => {
  test('is told when the message is larger than any, and the next is taken', async () => {
    const { spool } = await opened();
    const huge = nth(1, { payload: new Uint8Array(2 << 20) });
    await expect(appendAll(spool, [huge])).rejects.toThrow(/too large for the spool/);
    await appendAll(spool, [nth(2)]);
    expect((await readAll(spool, START)).map(numberOf)).toEqual([2]);
    await spool.close();
  });

  test('is told when the disk cannot follow; what was taken is kept, and more is taken afterwards', async () => {
    const { spool } = await opened();
    const results: string[] = [];
    const appended = Array.from(
      { length: 70 },
      (_, n) =>
        new Promise<void>((resolve) => {
          spool.append(nth(n, { payload: MEBIBYTE }), (error) => {
            results.push(error === null ? 'kept' : error.message);
            resolve();
          });
        }),
    );
    await Promise.all(appended);
    const refused = results.filter((result) => /spool is full/.test(result)).length;
    expect(refused).toBeGreaterThan(0);
    expect(results.filter((result) => result === 'kept')).toHaveLength(70 - refused);
    expect(await readAll(spool, START, 30)).toHaveLength(70 - refused);
    await appendAll(spool, [nth(99)]);
    await spool.close();
  });

  test('is told when the spool is closed', async () => {
    const { spool } = await opened();
    await appendAll(spool, [nth(1)]);
    await spool.close();
    await expect(appendAll(spool, [nth(2)])).rejects.toThrow('the spool is closed');
  });
});

describe('reading', () => {
  test('in portions gives every record once', async () => {
    const { spool } = await opened();
    await appendAll(
      spool,
      Array.from({ length: 25 }, (_, n) => nth(n)),
    );
    for (const portion of [1, 7, 25, 26]) {
      const found = await readAll(spool, START, portion);
      expect(found.map(numberOf)).toEqual(Array.from({ length: 25 }, (_, n) => n));
    }
    await spool.close();
  });

  test('from the end gives nothing, and the end', async () => {
    const { spool } = await opened();
    await appendAll(spool, [nth(1)]);
    expect(await spool.read(spool.end(), 10)).toEqual({ records: [], end: spool.end() });
    await spool.close();
  });

  test('from a group’s end gives what came after it', async () => {
    const { spool, groups } = await opened();
    await appendAll(spool, [nth(1)]);
    await appendAll(spool, [nth(2), nth(3)]);
    const firstEnd = groups[0]?.end ?? START;
    expect((await readAll(spool, firstEnd)).map(numberOf)).toEqual([2, 3]);
    await spool.close();
  });
});

describe('segments', () => {
  test('change when one is full, and are read as one', async () => {
    const { spool, folder } = await opened();
    for (let n = 0; n < 20; n += 1) await appendAll(spool, [nth(n, { payload: MEBIBYTE })]);
    expect(logs(folder)).toEqual(['0000000001.log', '0000000002.log', '0000000003.log']);
    expect((await readAll(spool, START, 3)).map(numberOf)).toEqual(Array.from({ length: 20 }, (_, n) => n));
    await spool.close();
    const { spool: again } = await opened(folder);
    expect((await readAll(again, START)).map(numberOf)).toEqual(Array.from({ length: 20 }, (_, n) => n));
    await again.close();
  });

  test('are let go when all their records are stored', async () => {
    const { spool, folder } = await opened();
    for (let n = 0; n < 12; n += 1) await appendAll(spool, [nth(n, { payload: MEBIBYTE })]);
    expect(logs(folder)).toHaveLength(2);
    const behindFirst = (await spool.read(START, 9)).end;
    await spool.saveCheckpoint(behindFirst);
    expect(logs(folder)).toHaveLength(2);
    await spool.saveCheckpoint(spool.end());
    expect(logs(folder)).toEqual(['0000000002.log']);
    await spool.close();
    const { spool: again } = await opened(folder);
    expect(again.checkpoint()).toEqual(again.end());
    await appendAll(again, [nth(99)]);
    expect((await readAll(again, again.checkpoint())).map(numberOf)).toEqual([99]);
    await again.close();
  });

  test('trouble ends by itself once a trial succeeds, and the trial leaves nothing behind', async () => {
    const { spool, folder } = await opened();
    for (let n = 0; n < 9; n += 1) await appendAll(spool, [nth(n, { payload: MEBIBYTE })]);
    const inTheWay = join(folder, '0000000002.log');
    mkdirSync(inTheWay);
    await expect(appendAll(spool, [nth(9)])).rejects.toThrow(/EISDIR/);
    const size = statSync(join(folder, '0000000001.log')).size;
    await spool.retry();
    expect(spool.trouble()).toMatch(/EISDIR/);
    rmSync(inTheWay, { recursive: true });
    await spool.retry();
    expect(spool.trouble()).toBeNull();
    expect(statSync(join(folder, '0000000001.log')).size).toBe(size);
    expect(statSync(join(folder, '0000000002.log')).size).toBe(0);
    await Promise.all([spool.retry(), appendAll(spool, [nth(10)])]);
    expect((await readAll(spool, START)).map(numberOf)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 10]);
    await spool.close();
  });

  test('a next one that cannot be made is told; once it can, appending goes on', async () => {
    const { spool, folder } = await opened();
    for (let n = 0; n < 9; n += 1) await appendAll(spool, [nth(n, { payload: MEBIBYTE })]);
    // A folder of the next segment's name stands in its way, whoever the test runs as.
    const inTheWay = join(folder, '0000000002.log');
    mkdirSync(inTheWay);
    await expect(appendAll(spool, [nth(9)])).rejects.toThrow(/EISDIR/);
    expect(spool.trouble()).toMatch(/cannot write to .*EISDIR/);
    rmSync(inTheWay, { recursive: true });
    await appendAll(spool, [nth(10)]);
    expect(spool.trouble()).toBeNull();
    expect((await readAll(spool, START)).map(numberOf)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 10]);
    await spool.close();
  });
});

describe('the checkpoint', () => {
  test('begins at the start, and is remembered', async () => {
    const { spool, groups, folder } = await opened();
    expect(spool.checkpoint()).toEqual(START);
    await appendAll(spool, [nth(1)]);
    await appendAll(spool, [nth(2)]);
    await spool.saveCheckpoint(groups[0]?.end ?? START);
    await spool.close();
    const { spool: again } = await opened(folder);
    expect((await readAll(again, again.checkpoint())).map(numberOf)).toEqual([2]);
    await again.close();
  });

  test.each([
    ['is empty', ''],
    ['is torn', '{"segment":1,"off'],
    ['is of another kind', '[]'],
    ['names no place', '{"segment":"x","offset":null}'],
    ['names a place before the beginning', '{"segment":0,"offset":5}'],
    ['names half a byte', '{"segment":1,"offset":0.5}'],
  ])('that %s means the beginning: storing twice harms nothing', async (_what, text) => {
    const { spool, folder } = await opened();
    await appendAll(spool, [nth(1)]);
    await spool.close();
    writeFileSync(join(folder, 'checkpoint.json'), text);
    const { spool: again } = await opened(folder);
    expect((await readAll(again, again.checkpoint())).map(numberOf)).toEqual([1]);
    await again.close();
  });

  test('beyond the end, as after a restored backup, is brought back to the end', async () => {
    const { spool, folder } = await opened();
    await appendAll(spool, [nth(1)]);
    await spool.close();
    writeFileSync(join(folder, 'checkpoint.json'), '{"segment":7,"offset":5}');
    const { spool: again } = await opened(folder);
    expect(again.checkpoint()).toEqual(again.end());
    await appendAll(again, [nth(2)]);
    expect((await readAll(again, again.checkpoint())).map(numberOf)).toEqual([2]);
    await again.close();
  });
});

describe('a new folder', () => {
  test('holds one empty segment, and other files in it do not matter', async () => {
    const folder = join(temporaryFolder(), 'deep', 'spool');
    mkdirSync(folder, { recursive: true });
    writeFileSync(join(folder, 'notes.txt'), 'x');
    writeFileSync(join(folder, '12.log'), 'x');
    const { spool } = await opened(folder);
    expect(await readAll(spool, START)).toEqual([]);
    expect(spool.end()).toEqual(START);
    expect(statSync(join(folder, '0000000001.log')).size).toBe(0);
    await spool.close();
  });

  test('nothing can be appended before it is open', async () => {
    const spool = new FileSpool(join(temporaryFolder(), 'spool'));
    await expect(appendAll(spool, [nth(1)])).rejects.toThrow('the spool is not open');
  });

  test('the file is readable by its own description: magic, length, checksum, body', async () => {
    const { spool, folder } = await opened();
    await appendAll(spool, [nth(1, { topic: 'a', payload: Uint8Array.from([7]) })]);
    const bytes = readFileSync(join(folder, '0000000001.log'));
    expect(bytes.readUInt32LE(0)).toBe(0x514b5231);
    expect(bytes.readUInt32LE(4)).toBe(8 + 1 + 2 + 1 + 1);
    expect(bytes).toHaveLength(12 + 13);
    expect(bytes.readDoubleLE(12)).toBe(1_780_000_000_001);
    await spool.close();
  });
});
