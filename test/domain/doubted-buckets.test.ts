import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { toldApart } from '../../src/domain/clean/doubt.ts';
import type { Point } from '../../src/domain/clean/points.ts';
import { readFromMs, readToMs, suspectSpans, weeded } from '../../src/domain/doubted-buckets.ts';
import type { Quantity } from '../../src/domain/quantity.ts';
import type { ReadingBucket } from '../../src/domain/reading.ts';
import { bucketStartMs } from '../../src/domain/storable-reading.ts';
import { MINUTE, NOON } from '../support/builders.ts';

const ALL = { fromMs: Number.NEGATIVE_INFINITY, toMs: Number.POSITIVE_INFINITY };

function summed(points: readonly Point[], bucketMs: number): ReadingBucket[] {
  const spans = Map.groupBy(points, ({ atMs }) => bucketStartMs(atMs, bucketMs));
  return [...spans].map(([startMs, own]) => {
    const values = own.map(({ value }) => value);
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    return { startMs, min: Math.min(...values), mean, max: Math.max(...values), count: values.length };
  });
}

/** What a curve does: only around suspect spans is anything read. */
function weedAll(quantity: Quantity, points: readonly Point[], bucketMs: number) {
  let buckets: readonly ReadingBucket[] = summed(points, bucketMs);
  const doubted: Point[] = [];
  for (const span of suspectSpans(quantity, buckets, bucketMs)) {
    const read = points.filter(({ atMs }) => atMs >= readFromMs(span) && atMs < readToMs(span));
    const isWithin = ({ startMs }: ReadingBucket) => startMs >= span.fromMs && startMs < span.toMs;
    const result = weeded(quantity, buckets.filter(isWithin), read, bucketMs, ALL);
    buckets = [...buckets.filter((bucket) => !isWithin(bucket)), ...result.buckets];
    doubted.push(...result.doubted);
  }
  return { buckets: buckets.toSorted((a, b) => a.startMs - b.startMs), doubted };
}

const every = (values: readonly number[]): Point[] =>
  values.map((value, index) => ({ atMs: NOON + index * MINUTE, value }));

describe('told apart', () => {
  test.each<[string, number[], number[]]>([
    ['single jumps', [4, 62, 4.1, -30, 4.2], [62, -30]],
    ['two that agree and go', [4, 21, 21.5, 4, 4], [21, 21.5]],
    ['three that agree are believed from the first on', [4, 21, 21.5, 21.2, 21.1], []],
    ['one that disagrees with what follows', [4, 60, 21, 21.5, 21.2], [60]],
    ['the newest, as long as nothing confirms it', [4, 4, 21], [21]],
  ])('%s', (_, values, wild) => {
    const { believed, doubted } = toldApart('beer-temperature', every(values));
    expect(doubted.map(({ value }) => value)).toEqual(wild);
    expect(believed).toHaveLength(values.length - wild.length);
  });

  test('what can change at once is believed', () => {
    expect(toldApart('headspace-pressure', every([0, 850, 0])).doubted).toEqual([]);
    expect(suspectSpans('headspace-pressure', summed(every([0, 850, 0]), MINUTE), MINUTE)).toEqual([]);
  });
});

describe('weeding buckets', () => {
  test('looks at no reading where nothing jumps', () => {
    const slow = every(Array.from({ length: 600 }, (_, minute) => 4 + minute / 100));
    expect(suspectSpans('beer-temperature', summed(slow, 15 * MINUTE), 15 * MINUTE)).toEqual([]);
  });

  test('around the jumps alone finds what weighing every reading finds', () => {
    const values = fc.array(
      fc.oneof(
        { weight: 8, arbitrary: fc.double({ min: 3, max: 6, noNaN: true }) },
        { weight: 1, arbitrary: fc.double({ min: -40, max: 110, noNaN: true }) },
      ),
      { minLength: 1, maxLength: 300 },
    );
    const widths = fc.constantFrom(MINUTE, 5 * MINUTE, 15 * MINUTE, 120 * MINUTE);
    fc.assert(
      fc.property(values, widths, (said, bucketMs) => {
        const points = every(said);
        const { believed, doubted } = toldApart('beer-temperature', points);
        const found = weedAll('beer-temperature', points, bucketMs);
        expect(found.doubted).toEqual(doubted);
        expect(found.buckets).toEqual(summed(believed, bucketMs));
      }),
    );
  });

  test('finds the second of two that agree, though nothing jumps from it to what follows', () => {
    const points = every([3, 16, 16, 12, 3]);
    expect(weedAll('beer-temperature', points, MINUTE).doubted).toEqual(points.slice(1, 3));
  });

  test('leaves a bucket of which readings went, and one that holds all that is believed', () => {
    const points = every([4, 62, 4]);
    const sums = { startMs: NOON, min: 4, mean: 20, max: 62, count: 9 };
    expect(weeded('beer-temperature', [sums], points, 60 * MINUTE, ALL)).toEqual({ buckets: [sums], doubted: [] });
  });
});
