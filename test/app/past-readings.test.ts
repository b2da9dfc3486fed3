import fc from 'fast-check';
import { expect, test } from 'vitest';
import { MemoryReadingStore } from '../../src/adapters/memory/memory-reading-store.ts';
import { type PastReading, pastReadings } from '../../src/app/past-readings.ts';
import { defaultProbe } from '../../src/domain/probe.ts';
import type { Reading } from '../../src/domain/reading.ts';
import { NOON } from '../support/builders.ts';

/** Aim: several probes come out as one timeline that does not depend on how their readings arrived, page after page. */

const KEG = { kind: 'keg', id: 'one' } as const;
const PROBES = [
  defaultProbe(KEG, 'headspace-pressure'),
  defaultProbe(KEG, 'beer-temperature'),
  defaultProbe({ kind: 'site' }, 'ambient-pressure'),
];
const QUANTITIES = ['beer-temperature', 'headspace-pressure', 'ambient-pressure'];

async function storeOf(readings: readonly Reading[]): Promise<MemoryReadingStore> {
  const store = new MemoryReadingStore();
  await store.open();
  await store.append(readings);
  return store;
}

async function all(store: MemoryReadingStore, fromMs = 0, toMs = Number.MAX_SAFE_INTEGER): Promise<PastReading[]> {
  const found: PastReading[] = [];
  for await (const portion of pastReadings(store, PROBES, fromMs, toMs)) found.push(...portion);
  return found;
}

const reading = (probe: number, measuredAtMs: number, value: number): Reading => ({
  probeId: PROBES[probe]?.probeId ?? '',
  measuredAtMs,
  value,
  receivedAtMs: measuredAtMs,
  timeFrom: 'device',
});

const short = (found: readonly PastReading[]) =>
  found.map(({ probe, reading: { measuredAtMs, value } }) => [measuredAtMs, probe.quantity, value]);

test('shuffled and doubled delivery gives the same timeline as delivery in order', async () => {
  const some = fc.array(fc.record({ probe: fc.nat(2), at: fc.nat(20), value: fc.integer({ min: 1, max: 4 }) }), {
    maxLength: 60,
  });
  const property = fc.asyncProperty(
    some,
    fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true })),
    async (raw, chance) => {
      const readings = raw.map(({ probe, at, value }) => reading(probe, NOON + at, value));
      const shuffled = [...readings, ...readings]
        .map((one) => ({ one, at: chance.next().value }))
        .toSorted((a, b) => Number(a.at) - Number(b.at))
        .map(({ one }) => one);
      const [inOrder, otherwise] = [await all(await storeOf(readings)), await all(await storeOf(shuffled))];
      expect(short(otherwise)).toEqual(short(inOrder));
      const sorted = [...new Set(raw.map(({ probe, at, value }) => `${at} ${probe} ${value}`))];
      expect(inOrder).toHaveLength(sorted.length);
      for (const [i, later] of inOrder.entries()) {
        const earlier = inOrder[i - 1];
        if (earlier === undefined) continue;
        const [a, b] = [earlier, later].map((one) => [
          one.reading.measuredAtMs,
          QUANTITIES.indexOf(one.probe.quantity),
          one.reading.value,
        ]);
        const different = a?.findIndex((part, place) => part !== b?.[place]) ?? -1;
        expect(a?.[different]).toBeLessThan(b?.[different] ?? Number.NaN);
      }
    },
  );
  await fc.assert(property, { numRuns: 100 });
});

test('long series come whole, across pages and portions', async () => {
  const store = await storeOf(Array.from({ length: 7001 }, (_, i) => reading(i % 2, NOON + i * 1000, i)));
  expect((await all(store)).map(({ reading: { value } }) => value)).toEqual(Array.from({ length: 7001 }, (_, i) => i));
  expect(await all(store, NOON + 1000, NOON + 4000)).toHaveLength(3);
});

test('a moment with more values than a page holds comes whole', async () => {
  const crowd = Array.from({ length: 4500 }, (_, i) => reading(1, NOON, 4500 - i));
  const store = await storeOf([reading(1, NOON - 1, 1), ...crowd, reading(1, NOON + 1, 2)]);
  const values = (await all(store)).map(({ reading: { value } }) => value);
  expect(values).toEqual([1, ...Array.from({ length: 4500 }, (_, i) => i + 1), 2]);
});

test('of probes without readings nothing comes', async () => {
  expect(await all(await storeOf([]))).toEqual([]);
});
