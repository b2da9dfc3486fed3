import { describe, expect, test } from 'vitest';
import { UsageError } from '../../src/cli/arguments.ts';
import { CsvMapping, type CsvWishes, parseColumns, parseOffset } from '../../src/cli/csv-mapping.ts';

const PLAIN: CsvWishes = { time: null, columns: [], separator: null, decimalComma: false, utcOffsetMs: null };
const WIDE: CsvWishes = { ...PLAIN, columns: parseColumns('Beer F=beer-temperature:[degF],Keg=headspace-pressure') };

const read = (titles: string[], cells: string[], wishes: CsvWishes = PLAIN) =>
  new CsvMapping(titles, wishes).readings(cells);
const timeOf = (text: string, wishes: CsvWishes = PLAIN) =>
  read(['time', 'kind', 'value'], [text, 'beer-temperature', '4'], wishes)[0]?.t;

describe('columns', () => {
  test('one row of a wide table is a reading of each filled column', () => {
    const titles = ['Time', 'Keg', 'other', 'Beer F'];
    expect(read(titles, ['2026-03-01T12:00:00Z', '11.5', 'x', '39.2'], WIDE)).toEqual([
      { t: '2026-03-01T12:00:00.000Z', keg: '11.5', kind: 'beer-temperature', value: 39.2, unit: '[degF]' },
      { t: '2026-03-01T12:00:00.000Z', keg: '11.5', kind: 'headspace-pressure', value: 11.5 },
    ]);
  });

  test('empty cells are no readings', () => {
    expect(
      read(['Time', 'Beer F', '#', 'Bar'], ['2026-03-01T12:00:00Z', '', ''], {
        ...WIDE,
        columns: WIDE.columns.slice(0, 1),
      }),
    ).toEqual([]);
  });

  test('are found by title in any case, or by number', () => {
    const columns = parseColumns('#2=beer-temperature');
    expect(read(['WHEN', 'a'], ['2026-03-01T12:00:00Z', '4'], { ...PLAIN, time: 'when', columns })).toHaveLength(1);
  });

  test('a long table needs no mapping', () => {
    const titles = ['t', 'keg', 'kind', 'value', 'unit', 'probe', 'received', 'timeFrom'];
    const cells = [
      '2026-03-01T12:00:00Z',
      'one',
      'headspace-pressure',
      '-1.5',
      'kPa',
      'mapped',
      '2026-03-01T12:00:01Z',
      'receipt',
    ];
    expect(read(titles, cells)).toEqual([
      {
        ...{ t: '2026-03-01T12:00:00.000Z', keg: 'one', kind: 'headspace-pressure', value: -1.5, unit: 'kPa' },
        ...{ probe: 'mapped', received: '2026-03-01T12:00:01.000Z', timeFrom: 'receipt' },
      },
    ]);
  });

  test.each([
    [['a', 'b'], PLAIN, /no column for the time; the first line has #1 "a", #2 "b". Say which with --time/],
    [['t', 'b'], PLAIN, /no column kind or value.*--columns TITLE=kind:unit/],
    [['t', 'b'], WIDE, /no column Beer F/],
    [['t', 'b'], { ...PLAIN, time: '#9' }, /no column #9/],
  ])('that are missing are told: %s', (titles, wishes, told) => {
    expect(() => new CsvMapping(titles, wishes)).toThrow(told);
  });
});

describe('cells', () => {
  test.each([
    ['2026-03-01T12:00:00Z', '2026-03-01T12:00:00.000Z'],
    ['2026-03-01 13:00:00.5+01:00', '2026-03-01T12:00:00.500Z'],
    ['1772366400', '2026-03-01T12:00:00.000Z'],
    ['1772366400250', '2026-03-01T12:00:00.250Z'],
  ])('the time %s is understood', (text, expected) => {
    expect(timeOf(text)).toBe(expected);
  });

  test('a time without an offset needs one, and takes the given one', () => {
    expect(() => timeOf('2026-03-01 12:00')).toThrow(/does not say its offset from UTC; say it with --utc-offset/);
    expect(timeOf('2026-03-01 12:00', { ...PLAIN, utcOffsetMs: parseOffset('+01:00') })).toBe(
      '2026-03-01T11:00:00.000Z',
    );
  });

  test.each(['1.3.2026', 'noon', '', '2026-13-01T12:00:00Z', '2026-03-01T12:00:00+99:00'])(
    'the time "%s" is refused',
    (text) => {
      expect(() => timeOf(text)).toThrow(/time/);
    },
  );

  test('a decimal comma is understood where it is said, and hinted at where not', () => {
    const cells = ['2026-03-01T12:00:00Z', 'beer-temperature', '4,5'];
    expect(() => read(['t', 'kind', 'value'], cells)).toThrow(/"4,5" is no number; say --decimal-comma/);
    expect(read(['t', 'kind', 'value'], cells, { ...PLAIN, decimalComma: true })).toMatchObject([{ value: 4.5 }]);
  });

  test.each(['0x10', 'NaN', '1e999x', 'four', '--1', 'Infinity'])('"%s" is no number', (text) => {
    expect(() => read(['t', 'kind', 'value'], ['2026-03-01T12:00:00Z', 'beer-temperature', text])).toThrow(
      /is no number/,
    );
  });

  test('a wrong kind is told with the likely one, and too many cells with their number', () => {
    expect(() => read(['t', 'kind', 'value'], ['2026-03-01T12:00:00Z', 'beer-temprature', '4'])).toThrow(
      /did you mean beer-temperature/,
    );
    expect(() => read(['t', 'kind', 'value'], ['2026-03-01T12:00:00Z', 'note', '4', '5'])).toThrow(
      /4 cells under 3 titles/,
    );
  });
});

describe('options', () => {
  test.each(['Beer', '=beer-temperature', 'Beer=beer-temprature', 'Beer=beer-temperature:F'])(
    '--columns "%s" is refused',
    (text) => {
      expect(() => parseColumns(text)).toThrow(UsageError);
    },
  );

  test('titles may hold commas and equals signs', () => {
    expect(parseColumns('a=b=beer-temperature:Cel,Scale, left=keg-mass')).toEqual([
      { column: 'a=b', kind: 'beer-temperature', unit: 'Cel' },
      { column: 'Scale, left', kind: 'keg-mass', unit: null },
    ]);
  });

  test.each(['1', '+15:00', '01:00', '+01:75'])('--utc-offset %s is refused', (text) => {
    expect(() => parseOffset(text)).toThrow(UsageError);
  });
});
