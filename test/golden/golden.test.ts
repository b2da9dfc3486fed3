/** Every golden table: published or separately computed values, each with its source and its own tolerance. */
import { describe, expect, test } from 'vitest';
import { CASES } from './cases.ts';
import { numberIn, readTable, rootMeanSquare, rowErrors, tableNames } from './table.ts';

test('every table is answered by a case, and every case has its table', () => {
  expect(Object.keys(CASES).sort()).toEqual(tableNames());
});

describe.each(tableNames())('%s', (name) => {
  const table = readTable(name);

  test('states source, unit, range, standing and why it is held to this tolerance', () => {
    expect(table.source.length).toBeGreaterThan(10);
    expect(table.unit).not.toBe('');
    expect(table.tolerance.why.length).toBeGreaterThan(5);
    expect(['seen', 'computed', 'from memory', 'mixed']).toContain(table.status);
    expect(Object.keys(table.range).length).toBeGreaterThan(0);
    expect(table.rows.length).toBeGreaterThan(0);
    // A table of mixed standing says for each row whether its value was read or remembered.
    const perRow = table.rows.every(({ status }) => ['seen', 'computed', 'from memory'].includes(String(status)));
    if (table.status === 'mixed' && !('body' in (table.rows[0] ?? {}))) expect(perRow).toBe(true);
  });

  test('keeps its tolerance in every row', () => {
    const errors = rowErrors(table, (row) => CASES[name]?.compute(row) ?? Number.NaN);
    const failures = errors.filter(({ error, allowed }) => !(Math.abs(error) <= allowed));
    expect(failures).toEqual([]);
    if (table.tolerance.rms !== undefined) expect(rootMeanSquare(errors)).toBeLessThanOrEqual(table.tolerance.rms);
  });

  test('its ranges hold its rows', () => {
    for (const [column, [low, high]] of Object.entries(table.range)) {
      for (const row of table.rows.filter((candidate) => typeof candidate[column] === 'number')) {
        expect(numberIn(row, column)).toBeGreaterThanOrEqual(low);
        expect(numberIn(row, column)).toBeLessThanOrEqual(high);
      }
    }
  });
});
