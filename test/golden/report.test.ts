import { existsSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { accuracyReport, BEGIN, END } from './report.ts';
import { tableNames } from './table.ts';

const README = new URL('../../README.md', import.meta.url);

test('the report has a row for every golden table and no error that is not a number', () => {
  const report = accuracyReport();
  expect(report.split('\n').filter((text) => text.startsWith('| ') && !text.startsWith('| ---'))).toHaveLength(
    tableNames().length + 1,
  );
  expect(report).not.toMatch(/NaN|Infinity|undefined/);
});

test('what the README says of accuracy, if it has the markers, is what the tables give now', () => {
  const text = existsSync(README) ? readFileSync(README, 'utf8') : '';
  const begin = text.indexOf(BEGIN);
  // Without the markers there must be no stale copy of the table either.
  if (begin < 0) expect(text).not.toContain('| worst error |');
  else expect(text.slice(begin + BEGIN.length, text.indexOf(END)).trim()).toBe(accuracyReport());
});
