/**
 * Aim: neither a power cut nor a bad disk costs a record that is whole.
 * Method: cut and flip the file at every byte, open it again, and see what is there.
 */
import { copyFileSync, mkdirSync, readFileSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { FileSpool } from '../../../src/adapters/spool/file-spool.ts';
import { encodeRecord, readRecords } from '../../../src/adapters/spool/record.ts';
import { removeFolders, temporaryFolder } from '../../support/temporary-folder.ts';
import { appendAll, nth, numberOf, readAll } from './spooled.ts';

removeFolders();

const START = { segment: 1, offset: 0 };
const SEGMENT = '0000000001.log';
const RECORDS = [1, 2, 3, 4, 5].map((n) => nth(n));
const BYTES = Buffer.concat(RECORDS.map(encodeRecord));
const SIZES = RECORDS.map((record) => encodeRecord(record).length);

/** Opens a spool whose only segment holds these bytes. */
async function openedWith(bytes: Buffer) {
  const folder = temporaryFolder();
  writeFileSync(join(folder, SEGMENT), bytes);
  const spool = new FileSpool(folder);
  await spool.open(() => undefined);
  return { spool, folder };
}

describe('a torn end', () => {
  const wholeSize = BYTES.length - (SIZES.at(-1) ?? 0);

  test('at every byte of the last record is cut off, and the next record follows the whole ones', async () => {
    for (let size = wholeSize; size < BYTES.length; size += 1) {
      const { spool, folder } = await openedWith(BYTES.subarray(0, size));
      expect(statSync(join(folder, SEGMENT)).size).toBe(wholeSize);
      expect(spool.end()).toEqual({ segment: 1, offset: wholeSize });
      await appendAll(spool, [nth(6)]);
      expect((await readAll(spool, START)).map(numberOf)).toEqual([1, 2, 3, 4, 6]);
      await spool.close();
    }
  });

  test('of a file that never held a whole record leaves nothing', async () => {
    const told: string[] = [];
    const folder = temporaryFolder();
    writeFileSync(join(folder, SEGMENT), BYTES.subarray(0, BYTES.length - 3));
    const torn = new FileSpool(folder, (message) => told.push(message));
    await torn.open(() => undefined);
    await torn.close();
    expect(told).toEqual([expect.stringMatching(/^\d+ bytes at the end of .* were cut off/)]);
    for (const size of [1, 3, 4, 11, 12, 20]) {
      const { spool, folder } = await openedWith(BYTES.subarray(0, size));
      expect(statSync(join(folder, SEGMENT)).size).toBe(0);
      await appendAll(spool, [nth(6)]);
      expect((await readAll(spool, START)).map(numberOf)).toEqual([6]);
      await spool.close();
    }
  });

  test('filled with zeros, as some file systems leave it, is cut off', async () => {
    const { spool, folder } = await openedWith(Buffer.concat([BYTES, Buffer.alloc(5000)]));
    expect(statSync(join(folder, SEGMENT)).size).toBe(BYTES.length);
    await appendAll(spool, [nth(6)]);
    expect((await readAll(spool, START)).map(numberOf)).toEqual([1, 2, 3, 4, 5, 6]);
    await spool.close();
  });

  test('does not end the reading of a spool that is torn in an older segment', async () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, SEGMENT), BYTES.subarray(0, BYTES.length - 5));
    writeFileSync(join(folder, '0000000002.log'), encodeRecord(nth(6)));
    const spool = new FileSpool(folder);
    await spool.open(() => undefined);
    expect((await readAll(spool, START)).map(numberOf)).toEqual([1, 2, 3, 4, 6]);
    expect((await readAll(spool, START, 2)).map(numberOf)).toEqual([1, 2, 3, 4, 6]);
    await spool.close();
  });
});

describe('a flipped bit', () => {
  /** Which record a byte belongs to, from 0. */
  const recordAt = (offset: number): number => {
    let end = 0;
    return SIZES.findIndex((size) => {
      end += size;
      return offset < end;
    });
  };
  const others = (broken: number) => RECORDS.filter((_, index) => index !== broken).map(numberOf);

  test('at any place is noticed; the record it hits is lost, and no other', () => {
    for (let offset = 0; offset < BYTES.length; offset += 1) {
      for (let bit = 0; bit < 8; bit += 1) {
        const damaged = Buffer.from(BYTES);
        damaged.writeUInt8(damaged.readUInt8(offset) ^ (1 << bit), offset);
        const found = readRecords(damaged, 0, 1000, true).records.map(numberOf);
        expect({ offset, bit, found }).toEqual({ offset, bit, found: others(recordAt(offset)) });
      }
    }
  });

  test('is told of once, with its size and place', async () => {
    const damaged = Buffer.from(BYTES);
    const inSecond = (SIZES[0] ?? 0) + 20;
    damaged.writeUInt8(damaged.readUInt8(inSecond) ^ 1, inSecond);
    const folder = temporaryFolder();
    writeFileSync(join(folder, SEGMENT), damaged);
    const told: string[] = [];
    const spool = new FileSpool(folder, (message) => told.push(message));
    await spool.open(() => undefined);
    await readAll(spool, START);
    await readAll(spool, START);
    expect(told).toEqual([expect.stringMatching(new RegExp(`^${SIZES[1]} bytes in .*${SEGMENT} are damaged`))]);
    await spool.close();
  });

  test('in a file costs one record, whether it is met at the start or while reading', async () => {
    for (let offset = 5; offset < BYTES.length; offset += 37) {
      const damaged = Buffer.from(BYTES);
      damaged.writeUInt8(damaged.readUInt8(offset) ^ 0x10, offset);
      const { spool } = await openedWith(damaged);
      await appendAll(spool, [nth(6)]);
      expect((await readAll(spool, START)).map(numberOf)).toEqual([...others(recordAt(offset)), 6]);
      expect((await readAll(spool, START, 1)).map(numberOf)).toEqual([...others(recordAt(offset)), 6]);
      await spool.close();
    }
  });

  test('while the spool is open is passed over as well', async () => {
    const { spool, folder } = await openedWith(BYTES);
    const path = join(folder, SEGMENT);
    const damaged = Buffer.from(readFileSync(path));
    const inSecond = (SIZES[0] ?? 0) + 20;
    damaged.writeUInt8(damaged.readUInt8(inSecond) ^ 1, inSecond);
    writeFileSync(path, damaged);
    expect((await readAll(spool, START)).map(numberOf)).toEqual([1, 3, 4, 5]);
    await spool.close();
  });
});

describe('longer damage', () => {
  test('a length that reaches past the end hides no record behind it', () => {
    const damaged = Buffer.from(BYTES);
    damaged.writeUInt32LE(1 << 19, 4);
    expect(readRecords(damaged, 0, 1000, true).records.map(numberOf)).toEqual([2, 3, 4, 5]);
  });

  test('a stretch without records that is longer than what is read at once is passed over', async () => {
    const junk = Buffer.alloc(9 << 20, 0x51);
    const { spool } = await openedWith(Buffer.concat([encodeRecord(nth(1)), junk, encodeRecord(nth(2))]));
    await appendAll(spool, [nth(3)]);
    expect((await readAll(spool, START)).map(numberOf)).toEqual([1, 2, 3]);
    await spool.close();
  });

  test('a record that lies across two portions of reading is found', async () => {
    const filler = nth(1, { payload: new Uint8Array(1_040_000) });
    const before = Array.from({ length: 4 }, () => filler);
    const { spool } = await openedWith(Buffer.concat([...before, ...RECORDS].map(encodeRecord)));
    expect((await readAll(spool, START)).map(numberOf)).toEqual([1, 1, 1, 1, 1, 2, 3, 4, 5]);
    await spool.close();
  });

  test('a payload that looks like a record is not one', async () => {
    const nested = nth(9, { payload: Uint8Array.from(encodeRecord(nth(10))) });
    const { spool } = await openedWith(Buffer.concat([nested, nth(2)].map(encodeRecord)));
    expect((await readAll(spool, START)).map(numberOf)).toEqual([9, 2]);
    await spool.close();
  });

  test('a missing segment between others is passed over', async () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, SEGMENT), encodeRecord(nth(1)));
    writeFileSync(join(folder, '0000000003.log'), encodeRecord(nth(3)));
    const spool = new FileSpool(folder);
    await spool.open(() => undefined);
    expect((await readAll(spool, START)).map(numberOf)).toEqual([1, 3]);
    await spool.close();
  });

  test('a copy of the folder, taken while it was written, opens', async () => {
    const { spool, folder } = await openedWith(BYTES);
    const copy = join(temporaryFolder(), 'copy');
    mkdirSync(copy);
    copyFileSync(join(folder, SEGMENT), join(copy, SEGMENT));
    truncateSync(join(copy, SEGMENT), BYTES.length - 1);
    await spool.close();
    const again = new FileSpool(copy);
    await again.open(() => undefined);
    expect((await readAll(again, START)).map(numberOf)).toEqual([1, 2, 3, 4]);
    await again.close();
  });
});
