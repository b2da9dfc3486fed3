import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Reading, StoredReading, TimeFrom } from '../../src/domain/reading.ts';
import type { ReadingStore, SeriesExtent } from '../../src/ports/reading-store.ts';
import { NaiveStore } from './naive-store.ts';
import { describeReadingTiers } from './reading-tiers.suite.ts';

/** A store to be tested, already open. Tests use probe ids of their own, so one store serves them all. */
export interface StoreUnderTest {
  readonly store: ReadingStore;
  /** Closes the store and opens it again on what it kept, as after a restart. */
  reopen(): Promise<ReadingStore>;
  remove(): Promise<void>;
}

const NOON = Date.UTC(2026, 5, 1, 12);
const MINUTE = 60_000;

let probesUsed = 0;
const newProbe = (): string => {
  probesUsed += 1;
  return `probes/keg-${probesUsed}/beer-temperature`;
};

function reading(probeId: string, measuredAtMs: number, value: number, timeFrom: TimeFrom = 'device'): Reading {
  return { probeId, measuredAtMs, value, receivedAtMs: measuredAtMs + 250, timeFrom };
}

const short = (rows: readonly StoredReading[]) => rows.map((row) => [row.measuredAtMs, row.value, row.ordinal]);

/**
 * What every reading store must do, whatever it keeps readings in: the same suite runs on the one in memory, on SQLite
 * and on a real InfluxDB.
 */
export function describeReadingStore(name: string, makeStore: () => Promise<StoreUnderTest>): void {
  describe(`${name} as a reading store`, () => {
    let under: StoreUnderTest | undefined;
    let store: ReadingStore;
    const reopen = async () => {
      if (under) store = await under.reopen();
    };

    beforeAll(async () => {
      under = await makeStore();
      store = under.store;
    });
    afterAll(() => under?.remove());

    describeAppending(() => store, reopen);
    describeRanges(() => store);
    describeSums(() => store);
    describeOddReadings(() => store, reopen);
    describeModel(() => store, reopen);
    describeReadingTiers(() => store, reopen, newProbe);
    describeLifetime(() => store, reopen);
  });
}

function describeAppending(store: () => ReadingStore, reopen: () => Promise<void>): void {
  test('keeps every part of a reading', async () => {
    const probe = newProbe();
    const kept: Reading[] = [
      { probeId: probe, measuredAtMs: NOON, value: 4.125, receivedAtMs: NOON + 90_061, timeFrom: 'device' },
      { probeId: probe, measuredAtMs: NOON + 1, value: 4.25, receivedAtMs: NOON + 1, timeFrom: 'receipt' },
      { probeId: probe, measuredAtMs: NOON + 2, value: 4, receivedAtMs: NOON - 5, timeFrom: 'receipt-device-refused' },
    ];
    await store().append(kept);
    expect(await store().range(probe, NOON, NOON + 3, 10)).toEqual(kept.map((one) => ({ ...one, ordinal: 1 })));
  });

  test('files readings in order of their time, in whatever order they arrive', async () => {
    const probe = newProbe();
    await store().append([reading(probe, NOON + 3, 3), reading(probe, NOON + 1, 1)]);
    await store().append([reading(probe, NOON + 2, 2), reading(probe, NOON, 0)]);
    const rows = await store().range(probe, NOON, NOON + 4, 10);
    expect(rows.map((row) => row.value)).toEqual([0, 1, 2, 3]);
  });

  test('counts a duplicate within a batch, across batches and after a restart', async () => {
    const probe = newProbe();
    const batch = [reading(probe, NOON, 4), reading(probe, NOON, 4), reading(probe, NOON + 1, 5)];
    expect(await store().append(batch)).toEqual({ stored: 2, duplicates: 1, refused: [] });
    expect(await store().append(batch)).toEqual({ stored: 0, duplicates: 3, refused: [] });
    await reopen();
    expect(await store().append(batch)).toEqual({ stored: 0, duplicates: 3, refused: [] });
    expect(short(await store().range(probe, NOON, NOON + 2, 10))).toEqual([
      [NOON, 4, 1],
      [NOON + 1, 5, 1],
    ]);
  });

  test('a duplicate changes nothing of what was stored first', async () => {
    const probe = newProbe();
    await store().append([{ ...reading(probe, NOON, 4), receivedAtMs: NOON + 1 }]);
    await store().append([{ ...reading(probe, NOON, 4), receivedAtMs: NOON + 99, timeFrom: 'receipt' }]);
    expect(await store().latest(probe, 5)).toEqual([
      { probeId: probe, measuredAtMs: NOON, value: 4, receivedAtMs: NOON + 1, timeFrom: 'device', ordinal: 1 },
    ]);
  });

  test('another value at the same time is a further reading with the next ordinal', async () => {
    const probe = newProbe();
    expect(await store().append([reading(probe, NOON, 4), reading(probe, NOON, 3)])).toMatchObject({ stored: 2 });
    await reopen();
    expect(await store().append([reading(probe, NOON, 5), reading(probe, NOON, 3)])).toEqual({
      stored: 1,
      duplicates: 1,
      refused: [],
    });
    expect(short(await store().range(probe, NOON, NOON + 1, 10))).toEqual([
      [NOON, 4, 1],
      [NOON, 3, 2],
      [NOON, 5, 3],
    ]);
  });

  test('two probes may have readings at the same time', async () => {
    const [one, other] = [newProbe(), newProbe()];
    expect(await store().append([reading(one, NOON, 4), reading(other, NOON, 4)])).toMatchObject({ stored: 2 });
    expect(await store().latest(one, 1)).toMatchObject([{ probeId: one, ordinal: 1 }]);
    expect(await store().latest(other, 1)).toMatchObject([{ probeId: other, ordinal: 1 }]);
  });

  test('takes an empty batch', async () => {
    expect(await store().append([])).toEqual({ stored: 0, duplicates: 0, refused: [] });
  });

  test('takes 10,000 readings at once and knows them all again', { timeout: 60_000 }, async () => {
    const probes = Array.from({ length: 50 }, newProbe);
    const batch = Array.from({ length: 10_000 }, (_, i) =>
      reading(probes[i % probes.length] ?? '', NOON + i * 1000, Math.sin(i) * 10),
    );
    expect(await store().append(batch)).toEqual({ stored: 10_000, duplicates: 0, refused: [] });
    expect(await store().append(batch)).toEqual({ stored: 0, duplicates: 10_000, refused: [] });
    for (const probe of probes.slice(0, 3)) {
      const sent = batch.filter((one) => one.probeId === probe).map((one) => ({ ...one, ordinal: 1 }));
      expect(await store().range(probe, NOON, NOON + 10_000_000, 1000)).toEqual(sent);
    }
  });

  test('appends that overlap in time do not lose or double anything', async () => {
    const probe = newProbe();
    const outcomes = await Promise.all([
      store().append([reading(probe, NOON, 1), reading(probe, NOON, 2)]),
      store().append([reading(probe, NOON, 2), reading(probe, NOON, 3)]),
      store().append([reading(probe, NOON, 3), reading(probe, NOON, 1)]),
    ]);
    expect(outcomes.reduce((sum, outcome) => sum + outcome.stored, 0)).toBe(3);
    const rows = await store().latest(probe, 10);
    expect(rows.map((row) => row.value).sort()).toEqual([1, 2, 3]);
    expect(rows.map((row) => row.ordinal)).toEqual([1, 2, 3]);
  });
}

/** A probe with readings 0 to 4 a minute apart, and a second one of 20 at minute 2. */
async function probeWithSix(store: ReadingStore): Promise<string> {
  const probe = newProbe();
  await store.append([0, 1, 2, 3, 4].map((i) => reading(probe, NOON + i * MINUTE, i)));
  await store.append([reading(probe, NOON + 2 * MINUTE, 20)]);
  return probe;
}

function describeRanges(store: () => ReadingStore): void {
  test('gives the newest readings, oldest of them first', async () => {
    const probe = await probeWithSix(store());
    expect((await store().latest(probe, 3)).map((row) => row.value)).toEqual([20, 3, 4]);
    expect((await store().latest(probe, 100)).map((row) => row.value)).toEqual([0, 1, 2, 20, 3, 4]);
    expect(await store().latest(probe, 0)).toEqual([]);
  });

  test('a range includes its start and not its end', async () => {
    const probe = await probeWithSix(store());
    const values = async (from: number, to: number) =>
      (await store().range(probe, NOON + from, NOON + to, 100)).map((row) => row.value);
    expect(await values(MINUTE, 3 * MINUTE)).toEqual([1, 2, 20]);
    expect(await values(MINUTE + 1, 3 * MINUTE + 1)).toEqual([2, 20, 3]);
    expect(await values(MINUTE, MINUTE)).toEqual([]);
    expect(await values(3 * MINUTE, MINUTE)).toEqual([]);
  });

  test('a range is cut off at its limit, between two readings of one time too', async () => {
    const probe = await probeWithSix(store());
    const range = (limit: number) => store().range(probe, NOON, NOON + 9 * MINUTE, limit);
    expect(short(await range(3))).toEqual([
      [NOON, 0, 1],
      [NOON + MINUTE, 1, 1],
      [NOON + 2 * MINUTE, 2, 1],
    ]);
    expect((await range(4)).at(-1)).toMatchObject({ value: 20, ordinal: 2 });
    expect(await range(0)).toEqual([]);
  });

  test('a range may reach from the beginning to the end of time', async () => {
    const probe = await probeWithSix(store());
    expect(await store().range(probe, Number.MIN_SAFE_INTEGER, Number.MAX_SAFE_INTEGER, 100)).toHaveLength(6);
    expect(await store().buckets(probe, 0, Number.MAX_SAFE_INTEGER, 86_400_000)).toMatchObject([{ count: 6 }]);
  });
}

function describeSums(store: () => ReadingStore): void {
  test('buckets are aligned to multiples of their length and keep the extremes', async () => {
    const probe = await probeWithSix(store());
    // A length that divides neither the hour nor the day, so alignment to anything but the epoch would show.
    const length = 7 * MINUTE;
    const start = Math.floor(NOON / length) * length;
    const buckets = await store().buckets(probe, NOON - 60 * MINUTE, NOON + 60 * MINUTE, length);
    expect(buckets).toEqual(
      [...new Set([0, 1, 2, 3, 4].map((i) => start + Math.floor((NOON - start + i * MINUTE) / length) * length))].map(
        (startMs) => expect.objectContaining({ startMs }),
      ),
    );
    expect(Math.min(...buckets.map((one) => one.min))).toBe(0);
    expect(Math.max(...buckets.map((one) => one.max))).toBe(20);
    expect(buckets.reduce((sum, one) => sum + one.count, 0)).toBe(6);
    expect(buckets.reduce((sum, one) => sum + one.mean * one.count, 0)).toBeCloseTo(30, 9);
  });

  test('buckets count only what lies between their bounds, and empty ones are left out', async () => {
    const probe = await probeWithSix(store());
    expect(await store().buckets(probe, NOON + 1, NOON + 4 * MINUTE, 2 * MINUTE)).toEqual([
      { startMs: NOON, min: 1, mean: 1, max: 1, count: 1 },
      { startMs: NOON + 2 * MINUTE, min: 2, mean: 25 / 3, max: 20, count: 3 },
    ]);
    await store().append([reading(probe, NOON + 60 * MINUTE, 7)]);
    const starts = (await store().buckets(probe, NOON, NOON + 99 * MINUTE, 30 * MINUTE)).map((one) => one.startMs);
    expect(starts).toEqual([NOON, NOON + 60 * MINUTE]);
  });

  test('refuses buckets of an impossible length', async () => {
    await expect(store().buckets(newProbe(), NOON, NOON + 1, 0)).rejects.toThrow(RangeError);
    await expect(store().buckets(newProbe(), NOON, NOON + 1, 0.5)).rejects.toThrow(RangeError);
  });

  test('knows nothing of a probe that has no readings', async () => {
    const probe = newProbe();
    expect(await store().latest(probe, 5)).toEqual([]);
    expect(await store().range(probe, 0, NOON, 5)).toEqual([]);
    expect(await store().buckets(probe, 0, NOON, MINUTE)).toEqual([]);
    expect(await extentOf(store(), probe)).toBeUndefined();
  });

  test('tells the extent of every probe', async () => {
    const [one, other] = [await probeWithSix(store()), newProbe()];
    await store().append([reading(other, NOON + 5, 1)]);
    expect(await extentOf(store(), one)).toEqual({
      probeId: one,
      firstMs: NOON,
      lastMs: NOON + 4 * MINUTE,
      count: 6,
    });
    expect(await extentOf(store(), other)).toEqual({ probeId: other, firstMs: NOON + 5, lastMs: NOON + 5, count: 1 });
  });
}

function describeOddReadings(store: () => ReadingStore, reopen: () => Promise<void>): void {
  test.each([
    ['dots', 'site.ambient.pressure'],
    ['separators of line protocols', 'a,b=c d\\,e\\=f\\ g'],
    ['a backslash at the end', 'ends\\'],
    ['quotes', `it's "quoted" and \\'both\\'`],
    ['what looks like a query', `x' OR 1=1; DROP MEASUREMENT reading --`],
    ['a dollar and braces', '$probe {probe} $<probe>'],
    ['per cent signs', '100%25 %2F %'],
    ['letters outside ASCII', 'Fühler-Köln-№5-🍺'],
    ['line breaks and tabs', 'one\ntwo\r\nthree\tfour'],
    ['spaces at both ends', '  spaced  '],
    ['a path and a pointer', 'zigbee/0x00158d/state#/temperature~1~0'],
    ['200 characters', `${'long/'.repeat(39)}probe`],
    ['a hash sign first', '#comment'],
  ])('a probe id may have %s', async (_, id) => {
    const before = reading(id, NOON, 1);
    await store().append([before, reading(`${id}x`, NOON, 2)]);
    expect(await store().append([before])).toEqual({ stored: 0, duplicates: 1, refused: [] });
    expect(await store().latest(id, 5)).toEqual([{ ...before, ordinal: 1 }]);
    expect(await store().buckets(id, NOON, NOON + 1, MINUTE)).toMatchObject([{ count: 1 }]);
    expect(await extentOf(store(), id)).toEqual({ probeId: id, firstMs: NOON, lastMs: NOON, count: 1 });
  });

  test('gives back the very number it got, whole numbers and fractions mixed', async () => {
    const probe = newProbe();
    const values = [12, 12.5, 1e-300, -1e-300, 5e-324, 1e300, Number.MAX_SAFE_INTEGER, 0.1 + 0.2, -40, 1 / 3, 1e21, 0];
    await store().append(values.map((value, i) => reading(probe, NOON + i, value)));
    await reopen();
    expect((await store().range(probe, NOON, NOON + 99, 99)).map((row) => row.value)).toEqual(values);
  });

  test('minus zero is zero', async () => {
    const probe = newProbe();
    await store().append([reading(probe, NOON, -0)]);
    expect(await store().append([reading(probe, NOON, 0)])).toMatchObject({ duplicates: 1 });
    expect(await store().latest(probe, 1)).toMatchObject([{ value: 0 }]);
  });

  test('keeps times before 1970, at 1970 and far ahead', async () => {
    const probe = newProbe();
    const times = [Date.UTC(1701, 1, 2), -86_400_001, -1000, -1, 0, 1, Date.UTC(2099, 11, 31)];
    await store().append(times.map((at) => reading(probe, at, 1)));
    await store().append([reading(probe, -1, 2)]);
    const rows = await store().range(probe, Date.UTC(1700, 0), Date.UTC(2100, 0), 99);
    expect(rows.map((row) => [row.measuredAtMs, row.ordinal])).toEqual([
      ...times.slice(0, 4).map((at) => [at, 1]),
      [-1, 2],
      ...times.slice(4).map((at) => [at, 1]),
    ]);
    expect(await store().buckets(probe, -1000, 1000, 1000)).toEqual([
      { startMs: -1000, min: 1, mean: 4 / 3, max: 2, count: 3 },
      { startMs: 0, min: 1, mean: 1, max: 1, count: 2 },
    ]);
    expect(await extentOf(store(), probe)).toMatchObject({ firstMs: times[0], lastMs: times.at(-1), count: 8 });
  });

  test('refuses what can never be stored, says why, and keeps the rest of the batch', async () => {
    const probe = newProbe();
    const bad: [Reading, RegExp][] = [
      [reading(probe, NOON, Number.NaN), /NaN.*not a finite number/],
      [reading(probe, NOON, Number.POSITIVE_INFINITY), /Infinity.*not a finite number/],
      [reading(probe, NOON + 0.5, 1), /not a whole millisecond/],
      [reading(probe, 1e17, 1), /not a whole millisecond from 1678 to 2261/],
      [{ ...reading(probe, NOON, 1), receivedAtMs: Number.NaN }, /time of receipt NaN/],
      [reading('', NOON, 1), /probe id is empty/],
      [reading('\ud800', NOON, 1), /not valid Unicode/],
      [reading('x'.repeat(257), NOON, 1), /longer than 256/],
    ];
    const good = reading(probe, NOON, 4);
    const outcome = await store().append([...bad.map(([one]) => one), good, good]);
    expect(outcome).toMatchObject({ stored: 1, duplicates: 1 });
    expect(outcome.refused.map((one) => one.reading)).toEqual(bad.map(([one]) => one));
    for (const [i, [, reason]] of bad.entries()) expect(outcome.refused[i]?.reason).toMatch(reason);
    expect(await store().latest(probe, 9)).toMatchObject([{ value: 4 }]);
  });
}

function describeModel(store: () => ReadingStore, reopen: () => Promise<void>): void {
  const offset = fc.oneof(fc.integer({ min: -20, max: 20 }), fc.integer({ min: -5_000_000, max: 5_000_000 }));
  const value = fc.oneof(fc.constantFrom(0, -0, 1, 2.5), fc.double({ noNaN: true, min: -1e6, max: 1e6 }));
  const timeFrom = fc.constantFrom<TimeFrom>('device', 'receipt', 'receipt-device-refused');
  const step = fc.record({ probe: fc.nat({ max: 2 }), offset, value, timeFrom, lateMs: fc.nat({ max: 9_000 }) });
  const batches = fc.array(fc.array(step, { maxLength: 12 }), { maxLength: 6 });
  const ask = fc.record({
    from: offset,
    to: offset,
    limit: fc.nat({ max: 15 }),
    bucketMs: fc.oneof(fc.integer({ min: 7, max: 999_983 }), fc.constantFrom(3_600_000, 7_200_000, 86_400_000)),
  });

  test('answers like a plain list of readings, whatever is appended in whatever portions', {
    timeout: 120_000,
  }, async () => {
    const property = fc.asyncProperty(batches, ask, fc.boolean(), async (portions, asked, restart) => {
      const naive = new NaiveStore();
      const probes = [newProbe(), newProbe(), newProbe()];
      for (const portion of portions) {
        const batch = portion.map((one) => ({
          ...reading(probes[one.probe] ?? '', one.offset, one.value, one.timeFrom),
          receivedAtMs: one.offset + one.lateMs,
        }));
        expect(await store().append(batch)).toEqual(naive.append(batch));
      }
      if (restart) await reopen();
      for (const probe of probes) {
        const { from, to, limit, bucketMs } = asked;
        expect(await store().range(probe, from, to, limit)).toEqual(naive.range(probe, from, to, limit));
        expect(await store().latest(probe, limit)).toEqual(naive.latest(probe, limit));
        expect(await extentOf(store(), probe)).toEqual(naive.extent(probe));
        const buckets = await store().buckets(probe, from, to, bucketMs);
        const expected = naive.buckets(probe, from, to, bucketMs);
        expect(buckets.map(({ mean: _, ...rest }) => rest)).toEqual(expected.map(({ mean: _, ...rest }) => rest));
        for (const [i, bucket] of buckets.entries())
          expect(bucket.mean).toBeCloseTo(expected[i]?.mean ?? Number.NaN, 6);
      }
    });
    await fc.assert(property, { numRuns: 60 });
  });
}

function describeLifetime(store: () => ReadingStore, reopen: () => Promise<void>): void {
  test('answers a check while open, and opening or closing twice is harmless', async () => {
    await store().check();
    await store().open();
    await store().check();
    await store().close();
    await store().close();
    await reopen();
    await store().check();
  });

  test('rejects every call while closed', async () => {
    await store().close();
    await expect(store().append([reading(newProbe(), NOON, 1)])).rejects.toThrow(/not open/);
    await expect(store().latest('x', 1)).rejects.toThrow(/not open/);
    await expect(store().range('x', 0, 1, 1)).rejects.toThrow(/not open/);
    await expect(store().buckets('x', 0, 1, 1)).rejects.toThrow(/not open/);
    await expect(store().retire('x', 0, 60_000)).rejects.toThrow(/not open/);
    await expect(store().extents()).rejects.toThrow(/not open/);
    await expect(store().check()).rejects.toThrow(/not open/);
    await reopen();
  });
}

async function extentOf(store: ReadingStore, probeId: string): Promise<SeriesExtent | undefined> {
  return (await store.extents()).find((extent) => extent.probeId === probeId);
}
