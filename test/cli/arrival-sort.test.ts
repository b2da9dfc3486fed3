import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type Keyed, sortedByKey } from '../../src/cli/arrival-sort.ts';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'quietkeg-sort-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

async function* inPortions(lines: readonly Keyed[], size: number) {
  for (let from = 0; from < lines.length; from += size) yield lines.slice(from, from + size);
}

async function sorted(lines: readonly Keyed[], runLines: number): Promise<Keyed[]> {
  const found: Keyed[] = [];
  for await (const portion of sortedByKey(inPortions(lines, 3), join(folder, '.run'), runLines)) found.push(...portion);
  return found;
}

test('through files it sorts as in memory, keeps equal keys in order, and leaves no file', async () => {
  const keys = fc.array(fc.integer({ min: -3, max: 12 }), { maxLength: 60 });
  await fc.assert(
    fc.asyncProperty(keys, fc.integer({ min: 1, max: 20 }), async (all, runLines) => {
      const lines = all.map((key, index) => ({ key, text: `{"line": ${index}, "said": "ä b"}` }));
      expect(await sorted(lines, runLines)).toEqual(lines.toSorted((a, b) => a.key - b.key));
      expect(readdirSync(folder)).toEqual([]);
    }),
    { numRuns: 60 },
  );
});

test('a failing source leaves no file', async () => {
  const failing = async function* () {
    yield [
      { key: 2, text: 'a' },
      { key: 1, text: 'b' },
    ];
    throw new Error('the store is away');
  };
  const reading = async () => {
    for await (const _ of sortedByKey(failing(), join(folder, '.run'), 1)) throw new Error('nothing was complete');
  };
  await expect(reading()).rejects.toThrow('the store is away');
  expect(readdirSync(folder)).toEqual([]);
});
