import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Reading, ReadingBucket } from '../../src/domain/reading.ts';
import type { ReadingStore } from '../../src/ports/reading-store.ts';
import { NaiveStore } from './naive-store.ts';

/**
 * Aim: sums stand in for readings without anybody noticing: what is asked in whole minutes is answered from sums as from
 * readings, whatever comes late, and extremes are never lost.
 * Method: the same questions to a store, to a plain list, and to a twin probe whose readings stay.
 */

const MINUTE = 60_000;
const QUARTER = 15 * MINUTE;
const NOON = Date.UTC(2026, 5, 1, 12);

const reading = (probeId: string, measuredAtMs: number, value: number): Reading => {
  return { probeId, measuredAtMs, value, receivedAtMs: measuredAtMs + 250, timeFrom: 'device' };
};

function expectAlike(buckets: readonly ReadingBucket[], expected: readonly ReadingBucket[]): void {
  expect(buckets.map(({ mean: _, ...rest }) => rest)).toEqual(expected.map(({ mean: _, ...rest }) => rest));
  for (const [i, { mean }] of buckets.entries()) expect(mean).toBeCloseTo(expected[i]?.mean ?? Number.NaN, 6);
}

/** Two hours of a reading every 10 s. */
const twoHours = (probeId: string) =>
  Array.from({ length: 720 }, (_, i) => reading(probeId, NOON + i * 10_000, Math.sin(i / 50) + (i === 333 ? 40 : 0)));

type Open = () => ReadingStore;

export function describeReadingTiers(store: Open, reopen: () => Promise<void>, newProbe: () => string): void {
  describe('tiers', () => {
    describeRetiring(store, reopen, newProbe);
    describeLateReadings(store, reopen, newProbe);
    describeTierModel(store, reopen, newProbe);
  });
}

function describeRetiring(store: Open, reopen: () => Promise<void>, newProbe: () => string): void {
  test('a curve in whole minutes is the same before and after readings are retired', async () => {
    const [probe, twin] = [newProbe(), newProbe()];
    await store().append([...twoHours(probe), ...twoHours(twin)]);
    expect(await store().retire(probe, NOON, NOON + 90 * MINUTE)).toBe(540);
    expect(await store().range(probe, NOON, NOON + 120 * MINUTE, 9999)).toHaveLength(180);
    await reopen();
    for (const width of [MINUTE, 5 * MINUTE, QUARTER, 60 * MINUTE, 120 * MINUTE]) {
      for (const [from, to] of [
        [0, 120],
        [7, 113],
        [-60, 91],
        [15, 75],
      ] as const) {
        const asked = [NOON + from * MINUTE, NOON + to * MINUTE, width] as const;
        expectAlike(await store().buckets(probe, ...asked), await store().buckets(twin, ...asked));
      }
    }
    expect((await store().buckets(probe, NOON, NOON + 120 * MINUTE, 120 * MINUTE))[0]?.max).toBeGreaterThan(39);
  });

  test('retired readings still count, and the newest stay the newest', async () => {
    const probe = newProbe();
    await store().append(twoHours(probe));
    await store().retire(probe, NOON - QUARTER, NOON + 60 * MINUTE);
    const extent = (await store().extents()).find(({ probeId }) => probeId === probe);
    expect(extent).toEqual({ probeId: probe, firstMs: NOON, lastMs: NOON + 7_190_000, count: 720 });
    expect(await store().latest(probe, 1)).toMatchObject([{ measuredAtMs: NOON + 7_190_000 }]);
  });

  test('retiring what is not there does nothing, and only whole minutes can be', async () => {
    const probe = newProbe();
    expect(await store().retire(probe, NOON, NOON + MINUTE)).toBe(0);
    await store().append(twoHours(probe));
    expect(await store().retire(probe, NOON - QUARTER, NOON)).toBe(0);
    await expect(store().retire(probe, NOON + 1, NOON + MINUTE)).rejects.toThrow(RangeError);
    await expect(store().retire(probe, NOON, NOON)).rejects.toThrow(RangeError);
  });
}

function describeLateReadings(store: Open, reopen: () => Promise<void>, newProbe: () => string): void {
  test('a late reading is in the sums of its quarter at once', async () => {
    const probe = newProbe();
    await store().append(twoHours(probe));
    const hours = () => store().buckets(probe, NOON, NOON + 120 * MINUTE, 60 * MINUTE);
    const [before] = await hours();
    await store().append([reading(probe, NOON + 20 * MINUTE + 5000, -30)]);
    expect((await hours())[0]).toMatchObject({ min: -30, count: 361 });
    await reopen();
    await store().append([reading(probe, NOON + 20 * MINUTE + 5001, -31)]);
    await reopen();
    expect((await hours())[0]).toMatchObject({ min: -31, max: before?.max, count: 362 });
  });

  test('a late reading of a retired minute counts if it stands out; else it cannot be told from those that were there', async () => {
    const probe = newProbe();
    await store().append(twoHours(probe));
    await store().retire(probe, NOON, NOON + 120 * MINUTE);
    await reopen();
    expect(await store().append(twoHours(probe))).toEqual({ stored: 0, duplicates: 720, refused: [] });
    expect(await store().append([reading(probe, NOON + 5000, 99)])).toMatchObject({ stored: 1 });
    expect(await store().append([reading(probe, NOON + 5000, 99)])).toMatchObject({ duplicates: 1 });
    for (const width of [MINUTE, QUARTER, 60 * MINUTE]) {
      expect((await store().buckets(probe, NOON, NOON + width, width))[0]).toMatchObject({
        max: 99,
        count: width / 10_000 + 1,
      });
    }
    expect(await store().retire(probe, NOON, NOON + QUARTER)).toBe(1);
    for (const width of [MINUTE, QUARTER, 60 * MINUTE]) {
      expect((await store().buckets(probe, NOON, NOON + width, width))[0]).toMatchObject({
        max: 99,
        count: width / 10_000 + 1,
      });
    }
    expect(await store().append([reading(probe, NOON + 5000, 99)])).toMatchObject({ duplicates: 1 });
  });
}

function describeTierModel(store: Open, reopen: () => Promise<void>, newProbe: () => string): void {
  const time = fc.integer({ min: -2 * QUARTER, max: 4 * QUARTER });
  const minute = fc.integer({ min: -30, max: 60 }).map((minutes) => minutes * MINUTE);
  const values = fc.array(fc.record({ time, value: fc.integer({ min: -3, max: 9 }) }), { minLength: 1, maxLength: 25 });
  const command = fc.oneof(
    { weight: 4, arbitrary: values.map((batch) => ({ kind: 'append', batch }) as const) },
    { weight: 2, arbitrary: fc.tuple(minute, minute).map((span) => ({ kind: 'retire', span }) as const) },
    { weight: 2, arbitrary: fc.constant({ kind: 'ask' } as const) },
    { weight: 1, arbitrary: fc.constant({ kind: 'restart' } as const) },
  );
  const widths = [MINUTE, 7 * MINUTE, 90_000, QUARTER, 30 * MINUTE, 60 * MINUTE];

  test('answers like a plain list, whatever is appended, retired and asked in whatever order', {
    timeout: 120_000,
  }, async () => {
    const asked = fc.record({ from: time, to: time, width: fc.constantFrom(...widths) });
    const property = fc.asyncProperty(
      fc.array(command, { maxLength: 12 }),
      asked,
      async (commands, { from, to, width }) => {
        const naive = new NaiveStore();
        const probe = newProbe();
        const ask = async (fromMs: number, toMs: number, widthMs: number) =>
          expectAlike(await store().buckets(probe, fromMs, toMs, widthMs), naive.buckets(probe, fromMs, toMs, widthMs));
        for (const one of commands) {
          if (one.kind === 'restart') await reopen();
          else if (one.kind === 'ask') await ask(-4 * QUARTER, 8 * QUARTER, 60 * MINUTE);
          else if (one.kind === 'append') {
            const batch = one.batch.map((each) => reading(probe, each.time, each.value));
            expect(await store().append(batch)).toEqual(naive.append(batch));
          } else if (one.span[0] < one.span[1]) {
            expect(await store().retire(probe, ...one.span)).toBe(naive.retire(probe, ...one.span));
          }
        }
        await ask(from, to, width);
        await ask(-4 * QUARTER, 8 * QUARTER, QUARTER);
        expect((await store().extents()).find(({ probeId }) => probeId === probe)).toEqual(naive.extent(probe));
      },
    );
    await fc.assert(property, { numRuns: 60 });
  });
}
