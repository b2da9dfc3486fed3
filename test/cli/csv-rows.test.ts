import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { csvRow } from '../../src/app/export-lines.ts';
import { type CsvRow, csvRows } from '../../src/cli/csv-rows.ts';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'quietkeg-csv-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

async function rows(text: string, separator: string | null = null): Promise<CsvRow[]> {
  const path = join(folder, 'table.csv');
  writeFileSync(path, text);
  const found: CsvRow[] = [];
  for await (const portion of csvRows(path, 'table.csv', separator, () => undefined)) found.push(...portion);
  return found;
}

const cells = async (text: string, separator: string | null = null) =>
  (await rows(text, separator)).map((row) => row.cells);

test.each([
  [
    'plain',
    'a,b\n1,2\n',
    [
      ['a', 'b'],
      ['1', '2'],
    ],
  ],
  [
    'no end of line at the end',
    'a,b\n1,2',
    [
      ['a', 'b'],
      ['1', '2'],
    ],
  ],
  [
    'carriage returns',
    'a,b\r\n1,2\r\n',
    [
      ['a', 'b'],
      ['1', '2'],
    ],
  ],
  [
    'old carriage returns alone',
    'a,b\r1,2\r',
    [
      ['a', 'b'],
      ['1', '2'],
    ],
  ],
  [
    'quotes',
    '"a,1","b ""x"""\n"two\nlines",\n',
    [
      ['a,1', 'b "x"'],
      ['two\nlines', ''],
    ],
  ],
  [
    'semicolons',
    'a;b\n1,5;2\n',
    [
      ['a', 'b'],
      ['1,5', '2'],
    ],
  ],
  [
    'tabs',
    'a\tb\n1\t2\n',
    [
      ['a', 'b'],
      ['1', '2'],
    ],
  ],
  ['a mark of UTF-8', '\uFEFFa,b\n', [['a', 'b']]],
  [
    'empty lines',
    '\n\na,b\n\n1,2\n\n',
    [
      ['a', 'b'],
      ['1', '2'],
    ],
  ],
  ['quotes within a cell', 'a"b,c\n', [['a"b', 'c']]],
  ['nothing', '', []],
])('reads a table with %s', async (_, text, expected) => {
  expect(await cells(text)).toEqual(expected);
});

test('a given separator wins over the frequent one', async () => {
  expect(await cells('a,b,c;d\n', ';')).toEqual([['a,b,c', 'd']]);
});

test('rows know their lines, also after quoted line breaks', async () => {
  const found = await rows('a,b\r\n"x\r\ny",1\r\n\r\nlast,2\r\n');
  expect(found.map(({ line, cells: [first] }) => [line, first])).toEqual([
    [1, 'a'],
    [2, 'x\r\ny'],
    [5, 'last'],
  ]);
});

test('what is written by our own rows is read back', async () => {
  const cell = fc.string({ unit: fc.constantFrom(...'ab,;"\n\r 1') }).filter((text) => !/^[=+\-@\t\r]/.test(text));
  const table = fc.array(fc.array(cell, { minLength: 2, maxLength: 4 }), { maxLength: 8 });
  await fc.assert(
    fc.asyncProperty(table, async (written) => {
      expect(await cells(written.map(csvRow).join(''), ',')).toEqual(written);
    }),
    { numRuns: 200 },
  );
});

test('a quote without an end, and an endless row, are told with their line', async () => {
  await expect(rows('a,b\n"1,2\n3,4\n')).rejects.toThrow('table.csv:2: a quoted cell has no end');
  await expect(rows(`a,b\n1,"${'x'.repeat(70_000)}`)).rejects.toThrow('table.csv:2: this row is longer than 65536');
});
