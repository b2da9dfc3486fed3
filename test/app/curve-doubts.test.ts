import { expect, test } from 'vitest';
import { MemoryReadingStore } from '../../src/adapters/memory/memory-reading-store.ts';
import { withoutDoubted } from '../../src/app/curve-doubts.ts';
import { aReading, DAY, HOUR, MINUTE, NOON } from '../support/builders.ts';

const PROBE = 'one.beer-temperature';

/** Readings of 4 °C, and of 62 °C where one is wild. */
async function aStore(count: number, everyMs: number, isWild: (index: number) => boolean) {
  const store = new MemoryReadingStore();
  await store.open();
  const readings = Array.from({ length: count }, (_, index) =>
    aReading(PROBE, NOON + index * everyMs, isWild(index) ? 62 : 4),
  );
  await store.append(readings);
  const asked = { probeId: PROBE, quantity: 'beer-temperature', fromMs: NOON, toMs: NOON + 90 * DAY } as const;
  const weeded = async (bucketMs: number) =>
    withoutDoubted(store, { ...asked, bucketMs }, await store.buckets(PROBE, asked.fromMs, asked.toMs, bucketMs));
  return { weeded };
}

test('of many places that lie far apart, the newest forty are looked at', async () => {
  const { weeded } = await aStore(50 * 24 * 4, 15 * MINUTE, (index) => index % 96 === 50);
  const { buckets, doubted } = await weeded(HOUR);
  expect(doubted).toHaveLength(40);
  const wide = buckets.filter(({ max }) => max === 62);
  expect(wide).toHaveLength(10);
  expect(Math.max(...wide.map(({ startMs }) => startMs))).toBeLessThan(Math.min(...doubted.map(({ atMs }) => atMs)));
  // Nothing else is touched, and the order stays.
  expect(buckets).toHaveLength(50 * 24);
  expect(buckets.map(({ startMs }) => startMs)).toEqual(
    buckets.map(({ startMs }) => startMs).toSorted((a, b) => a - b),
  );
});

test('more readings around one place than may be read leave the buckets as they are', async () => {
  const { weeded } = await aStore(20_001, 1000, (index) => index === 10_000);
  expect((await weeded(5 * MINUTE)).doubted).toHaveLength(1);
  const { buckets, doubted } = await weeded(DAY);
  expect(doubted).toEqual([]);
  expect(buckets.map(({ max }) => max)).toContain(62);
});
