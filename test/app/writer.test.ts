import { afterEach, describe, expect, test } from 'vitest';
import { Writer } from '../../src/app/writer.ts';
import type { Reading } from '../../src/domain/reading.ts';
import type { SpoolRecord } from '../../src/ports/spool.ts';
import { aReading, NOON, SECOND } from '../support/builders.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { FlakyStore } from '../support/flaky-store.ts';
import { keptLog } from '../support/kept-log.ts';
import { MemorySpool } from '../support/memory-spool.ts';
import { settle, until } from '../support/until.ts';

const record = (n: number): SpoolRecord => ({
  receivedAtMs: NOON + n,
  topic: 'probes/one/beer-temperature',
  payload: new Uint8Array(0),
  policy: 'live',
  retained: false,
});
/** As the program decodes: the same message always gives the same readings. */
const decode = ({ receivedAtMs }: SpoolRecord): Reading[] => {
  return [aReading('one.beer-temperature', receivedAtMs, receivedAtMs - NOON)];
};

let writer: Writer | null = null;

async function aWriter() {
  const clock = new FakeClock(NOON);
  const spool = new MemorySpool();
  const store = new FlakyStore();
  await store.open();
  const { log, lines } = keptLog();
  const made = new Writer({ spool, store, clock, log, decode });
  writer = made;
  await spool.open((group) => made.enqueue(group, group.records.flatMap(decode)));
  const commit = (...numbers: readonly number[]) => spool.commit(numbers.map(record));
  const stored = async (count: number) => {
    await until(`${count} are stored`, () => store.values().length === count);
    await settle(2);
  };
  return { clock, spool, store, lines, writer: made, commit, stored };
}
const upTo = (count: number) => Array.from({ length: count }, (_, n) => n);

afterEach(async () => {
  await writer?.stop();
  writer = null;
});

describe('storing', () => {
  test('follows what is committed, in order, and remembers how far it is', async () => {
    const { writer, spool, store, commit, stored } = await aWriter();
    writer.start();
    commit(0);
    commit(1, 2);
    await stored(3);
    commit(3);
    await stored(4);
    expect(store.values()).toEqual(upTo(4));
    expect(spool.checkpoint()).toEqual(spool.end());
    expect(writer.counts()).toEqual({ stored: 4, duplicates: 0, refused: 0 });
    expect(writer.trouble()).toBeNull();
  });

  test('begins with what the spool held before the start', async () => {
    const { writer, spool, store, stored } = await aWriter();
    spool.records.push(...upTo(2500).map(record));
    await spool.saveCheckpoint({ segment: 1, offset: 100 });
    writer.start();
    await stored(2400);
    expect(store.values()).toEqual(upTo(2500).slice(100));
    expect(Math.max(...store.batches.map(({ length }) => length))).toBe(1000);
  });

  test('is not remembered before it is done', async () => {
    const { writer, spool, store, commit, stored } = await aWriter();
    const release = store.hold();
    writer.start();
    commit(0);
    await until('it tries', () => store.attempts === 1);
    await settle();
    expect(spool.checkpoints).toEqual([]);
    release();
    await stored(1);
    expect(spool.checkpoints).toEqual([{ segment: 1, offset: 1 }]);
  });

  test('counts duplicates and what no store will take', async () => {
    const { writer, spool, store, stored } = await aWriter();
    writer.start();
    const twice = [aReading('a', NOON, 1), aReading('a', NOON, 1), aReading('', NOON, 1)];
    spool.records.push(record(0));
    writer.enqueue({ records: [], end: spool.end() }, twice);
    await stored(1);
    store.batches.length = 0;
    writer.enqueue({ records: [], end: spool.end() }, twice);
    await stored(3);
    expect(writer.counts()).toEqual({ stored: 2, duplicates: 1, refused: 1 });
  });

  test('messages without readings only move the mark', async () => {
    const { writer, spool, store } = await aWriter();
    writer.start();
    await settle();
    spool.records.push(record(0));
    writer.enqueue({ records: [record(0)], end: spool.end() }, []);
    await until('the mark moves', () => spool.checkpoint().offset === 1);
    expect(store.attempts).toBe(0);
  });

  test('a message that comes while the spool is read for the last time does not wait for the next one', async () => {
    const { writer, spool, store, commit, stored } = await aWriter();
    const release = spool.holdReads();
    writer.start();
    await until('it reads', () => spool.reads === 1);
    commit(0);
    release();
    await stored(1);
    expect(store.values()).toEqual([0]);
  });
});

describe('a store that fails', () => {
  test('gets everything when it is back: in order, nothing lost, nothing twice', async () => {
    const { writer, clock, store, lines, commit, stored } = await aWriter();
    writer.start();
    commit(0);
    await stored(1);
    store.failure = new Error('connection refused');
    commit(1);
    commit(2);
    await until('the trouble is told', () => writer.trouble() !== null);
    expect(writer.trouble()).toBe('the reading store does not take readings: connection refused');
    for (let n = 3; n < 10; n += 1) {
      commit(n);
      clock.advance(SECOND);
      await settle();
    }
    store.failure = null;
    clock.advance(30 * SECOND);
    await stored(10);
    expect(store.values()).toEqual(upTo(10));
    expect(writer.counts()).toEqual({ stored: 10, duplicates: 0, refused: 0 });
    expect(writer.trouble()).toBeNull();
    expect(lines).toEqual([
      'warn the reading store does not take readings: connection refused. They wait in the spool.',
      'info the reading store takes readings again',
    ]);
  });

  test('is tried again ever less often, at least twice a minute', async () => {
    const { writer, clock, store, commit } = await aWriter();
    store.failure = new Error('away');
    writer.start();
    commit(0);
    const triedAtS: number[] = [];
    let attempts = 0;
    for (let tick = 0; tick < 300; tick += 1) {
      await settle(3);
      if (store.attempts > attempts) triedAtS.push(clock.monotonicMs() / SECOND);
      attempts = store.attempts;
      clock.advance(SECOND / 2);
    }
    expect(triedAtS).toEqual([0, 0.5, 1.5, 3.5, 7.5, 15.5, 31.5, 61.5, 91.5, 121.5]);
  });

  test('is told of once for each cause', async () => {
    const { writer, clock, store, lines, commit } = await aWriter();
    store.failure = new Error('away');
    writer.start();
    commit(0);
    for (let n = 0; n < 5; n += 1) {
      await settle(3);
      clock.advance(30 * SECOND);
    }
    store.failure = new Error('full');
    clock.advance(30 * SECOND);
    await settle(3);
    expect(lines.map((line) => line.split('. ')[0])).toEqual([
      'warn the reading store does not take readings: away',
      'warn the reading store does not take readings: full',
    ]);
  });
});

describe('a store that fails for long', () => {
  test('costs no memory: what does not fit is read from the spool again', async () => {
    const { writer, clock, spool, store, commit, stored } = await aWriter();
    writer.start();
    commit(0);
    await stored(1);
    const readsBefore = spool.reads;
    store.failure = new Error('away');
    for (let n = 1; n <= 30; n += 1) commit(...upTo(1000).map((index) => n * 1000 + index));
    await settle();
    expect(spool.reads).toBe(readsBefore);
    store.failure = null;
    clock.advance(30 * SECOND);
    await stored(30_001);
    // The last ten thousand or so did not fit into memory.
    expect(spool.reads - readsBefore).toBeGreaterThan(5);
    const values = store.values();
    expect(values).toEqual(values.toSorted((a, b) => a - b));
    expect(writer.counts()).toEqual({ stored: 30_001, duplicates: 0, refused: 0 });
    // And it is back on the short way.
    const reads = spool.reads;
    commit(99_999);
    await stored(30_002);
    expect(spool.reads).toBe(reads);
  });

  test('does not mind a group larger than memory holds', async () => {
    const { writer, store, commit, stored } = await aWriter();
    writer.start();
    await settle();
    commit(...upTo(25_000));
    await stored(25_000);
    expect(store.values()).toEqual(upTo(25_000));
  });
});

describe('a spool that fails', () => {
  test('to remember what is stored does not make it count twice', async () => {
    const { writer, clock, spool, store, commit } = await aWriter();
    writer.start();
    await settle();
    spool.checkpointError = new Error('no space left');
    commit(0);
    await until('the trouble is told', () => writer.trouble() !== null);
    expect(writer.trouble()).toMatch(/no space left/);
    clock.advance(SECOND);
    await settle();
    spool.checkpointError = null;
    clock.advance(SECOND);
    await until('it is remembered', () => spool.checkpoint().offset === 1);
    expect(store.attempts).toBe(1);
    expect(writer.counts()).toEqual({ stored: 1, duplicates: 0, refused: 0 });
  });

  test('to be read is tried again', async () => {
    const { writer, clock, spool, store, stored } = await aWriter();
    spool.records.push(record(0));
    spool.readError = new Error('bad sector');
    writer.start();
    await until('the trouble is told', () => /bad sector/.test(writer.trouble() ?? ''));
    spool.readError = null;
    clock.advance(SECOND);
    await stored(1);
    expect(store.values()).toEqual([0]);
    expect(writer.trouble()).toBeNull();
  });
});

describe('stopping', () => {
  test('waits for the batch that is being stored', async () => {
    const { writer, spool, store, commit } = await aWriter();
    const release = store.hold();
    writer.start();
    commit(0);
    await until('it tries', () => store.attempts === 1);
    let stopped = false;
    const stopping = writer.stop().then(() => {
      stopped = true;
    });
    await settle();
    expect(stopped).toBe(false);
    release();
    await stopping;
    expect(spool.checkpoint().offset).toBe(1);
  });

  test('does not wait for a store that is away', async () => {
    const { writer, store, commit } = await aWriter();
    store.failure = new Error('away');
    writer.start();
    commit(0);
    await until('the trouble is told', () => writer.trouble() !== null);
    await writer.stop();
    const { attempts } = store;
    commit(1);
    await settle();
    expect(store.attempts).toBe(attempts);
  });
});
