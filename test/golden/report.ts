/**
 * The README's section on accuracy, as a Markdown table: `node test/golden/report.ts` prints it.
 * Mean and worst absolute error of every quantity against each source, beside what is allowed.
 */
import { pathToFileURL } from 'node:url';
import { CASES } from './cases.ts';
import { type GoldenTable, meanAbsolute, readTable, rowErrors, tableNames, worst } from './table.ts';

export const BEGIN = '<!-- accuracy:begin -->';
export const END = '<!-- accuracy:end -->';

function significant(value: number, digits: number): string {
  if (value === 0) return '0';
  return Math.abs(value) < 1e-12 ? '0' : String(Number(value.toPrecision(digits)));
}

function errorText(value: number, table: GoldenTable): string {
  if (table.tolerance.factor !== undefined) return `× ${significant(value, 3)}`;
  if (table.tolerance.relative !== true)
    return `${significant(value, 2)} ${table.unit === '1' ? '' : table.unit}`.trim();
  const percent = 100 * value;
  return percent < 1e-6 ? 'below 1e-6 %' : `${significant(percent, 2)} %`;
}

function allowedText(table: GoldenTable): string {
  const { factor, max = 0, bands = [], rms } = table.tolerance;
  if (factor !== undefined) return errorText(factor, table);
  const parts = [
    errorText(max, table),
    ...bands.map((band) => `${errorText(band.max, table)} (${band.column} < ${band.below})`),
  ];
  return rms === undefined ? parts.join(', ') : `${parts.join(', ')}; rms ${errorText(rms, table)}`;
}

function line(name: string): string {
  const table = readTable(name);
  const errors = rowErrors(table, (row) => CASES[name]?.compute(row) ?? Number.NaN);
  const cells = [
    table.quantity,
    table.source,
    table.status,
    String(errors.length),
    errorText(meanAbsolute(errors), table),
    errorText(worst(errors), table),
    allowedText(table),
  ];
  return `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`;
}

/** The text between the markers, without them. */
export function accuracyReport(): string {
  const rank = { seen: 0, mixed: 1, 'from memory': 2, computed: 3 };
  const names = tableNames().sort((a, b) => rank[readTable(a).status] - rank[readTable(b).status] || (a < b ? -1 : 1));
  return [
    'Each row is one table of values held against the formulas by the tests. *seen*: the value was read in the source;',
    '*from memory*: recalled, not looked up; *mixed*: each row says which; *computed*: worked out separately from the same',
    'published formula, so agreement shows that the formula was typed correctly and not that beer behaves so. Errors are',
    'absolute unless given in percent or as a factor.',
    '',
    '| quantity | source | standing | values | mean error | worst error | allowed |',
    '| --- | --- | --- | ---: | ---: | ---: | ---: |',
    ...names.map(line),
  ].join('\n');
}

if (process.argv[1] !== undefined && import.meta.url === pathToFileURL(process.argv[1]).href) {
  process.stdout.write(`${accuracyReport()}\n`);
}
