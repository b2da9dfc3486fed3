import { readdirSync, readFileSync } from 'node:fs';

/** A number, or the name of a unit, sugar or body. */
export type Cell = number | string;
export type Row = Readonly<Record<string, Cell>>;

export interface Tolerance {
  /** Largest error allowed in any row. */
  readonly max?: number;
  readonly rms?: number;
  /** The larger of computed/expected and its inverse that is allowed: for facts of the trade. */
  readonly factor?: number;
  /** Errors are shares of the expected value; of 1 where that is 0. */
  readonly relative?: boolean;
  /** Another `max` for rows whose column lies below a value. */
  readonly bands?: readonly { readonly column: string; readonly below: number; readonly max: number }[];
  readonly why: string;
}

export interface GoldenTable {
  readonly name: string;
  readonly quantity: string;
  readonly unit: string;
  readonly source: string;
  readonly status: 'seen' | 'computed' | 'from memory' | 'mixed';
  readonly range: Readonly<Record<string, readonly [number, number]>>;
  readonly tolerance: Tolerance;
  readonly rows: readonly Row[];
}

interface TableFile extends Omit<GoldenTable, 'name' | 'rows'> {
  readonly columns: readonly string[];
  readonly rows?: readonly (readonly Cell[])[];
  /** Another table with the same columns whose rows this one uses. */
  readonly rowsFrom?: string;
}

const FOLDER = new URL('.', import.meta.url);

function readTableFile(name: string): TableFile {
  return JSON.parse(readFileSync(new URL(`${name}.json`, FOLDER), 'utf8')) as TableFile;
}

/** Names of all tables in this folder, in order. */
export function tableNames(): string[] {
  return readdirSync(FOLDER)
    .filter((file) => file.endsWith('.json'))
    .map((file) => file.slice(0, -'.json'.length))
    .sort();
}

export function readTable(name: string): GoldenTable {
  const { columns, rows, rowsFrom, ...head } = readTableFile(name);
  const cells = rows ?? (rowsFrom === undefined ? [] : (readTableFile(rowsFrom).rows ?? []));
  return {
    ...head,
    name,
    rows: cells.map((row) => Object.fromEntries(columns.map((column, index) => [column, row[index] ?? '']))),
  };
}

/** The number in a column; a table that lacks it is a mistake of the table. */
export function numberIn(row: Row, column: string): number {
  const cell = row[column];
  if (typeof cell !== 'number') throw new Error(`column ${column} holds ${String(cell)}, not a number`);
  return cell;
}

export function textIn(row: Row, column: string): string {
  const cell = row[column];
  if (typeof cell !== 'string') throw new Error(`column ${column} holds ${String(cell)}, not a text`);
  return cell;
}

export interface RowError {
  readonly row: Row;
  readonly computed: number;
  /** Signed, in the table's unit, or a share if the tolerance is relative; a factor of 1 or more if by factor. */
  readonly error: number;
  readonly allowed: number;
}

/** The error of every row. A row that cannot be computed counts as infinitely wrong. */
export function rowErrors(table: GoldenTable, compute: (row: Row) => number): RowError[] {
  const { tolerance } = table;
  return table.rows.map((row) => {
    const expected = numberIn(row, 'expected');
    const computed = compute(row);
    if (tolerance.factor !== undefined) {
      return { row, computed, error: Math.max(computed / expected, expected / computed), allowed: tolerance.factor };
    }
    const scale = tolerance.relative === true && expected !== 0 ? Math.abs(expected) : 1;
    const band = tolerance.bands?.find(({ column, below }) => numberIn(row, column) < below);
    return { row, computed, error: (computed - expected) / scale, allowed: band?.max ?? tolerance.max ?? 0 };
  });
}

export function meanAbsolute(errors: readonly RowError[]): number {
  return errors.reduce((sum, { error }) => sum + Math.abs(error), 0) / errors.length;
}

export function rootMeanSquare(errors: readonly RowError[]): number {
  return Math.sqrt(errors.reduce((sum, { error }) => sum + error ** 2, 0) / errors.length);
}

export function worst(errors: readonly RowError[]): number {
  return errors.reduce((most, { error }) => Math.max(most, Math.abs(error)), 0);
}
