/** How columns of a table become readings. */
import { nearest } from '../config/suggest.ts';
import { QUANTITIES, Quantity, TimeFrom, type TransferReading, UNITS } from '../contract/index.ts';
import { UsageError } from './arguments.ts';

/** What the command line says of a table. */
export interface CsvWishes {
  /** Column of the time; null: one of the usual names. */
  readonly time: string | null;
  /** Columns of values; empty: columns named kind and value. */
  readonly columns: readonly ColumnWish[];
  readonly separator: string | null;
  readonly decimalComma: boolean;
  /** Of times that name no offset (ms); null: such times are mistakes. */
  readonly utcOffsetMs: number | null;
}

export interface ColumnWish {
  /** Its title, or #3 for the third. */
  readonly column: string;
  readonly kind: TransferReading['kind'];
  readonly unit: string | null;
}

/** A cell or row that cannot be used; the message says what to do. */
export class CellError extends Error {
  override readonly name = 'CellError';
}

/** Reads `TITLE=kind` or `TITLE=kind:unit`, several with commas between. Throws `UsageError`. */
export function parseColumns(text: string): ColumnWish[] {
  return text.split(/(?<==\s*[a-z0-9-]+(?::[^,:]+)?),/).map((part) => {
    const equals = part.lastIndexOf('=');
    const [kindText = '', unit = null] = part.slice(equals + 1).split(':');
    const kind = Quantity.safeParse(kindText.trim());
    if (equals < 1) throw new UsageError(`--columns ${part}: give TITLE=kind or TITLE=kind:unit`);
    if (!kind.success) {
      const near = nearest(kindText, QUANTITIES);
      throw new UsageError(
        `--columns ${part}: ${kindText} is no kind of reading${near === null ? '.' : `; did you mean ${near}?`} Known are ${QUANTITIES.join(', ')}`,
      );
    }
    if (unit !== null && !UNITS.some((known) => known === unit)) {
      throw new UsageError(`--columns ${part}: ${unit} is no unit; known are ${UNITS.join(' ')}`);
    }
    return { column: part.slice(0, equals).trim(), kind: kind.data, unit };
  });
}

/** Reads an offset such as +01:00 (ms). Throws `UsageError`. */
export function parseOffset(text: string): number {
  const offsetMs = offsetOf(text);
  if (offsetMs === null) throw new UsageError(`--utc-offset ${text}: give an offset such as +01:00`);
  return offsetMs;
}

function offsetOf(text: string): number | null {
  const [, sign, hours = '', minutes = ''] = /^([+-])(\d\d):?(\d\d)$/.exec(text) ?? [];
  if (sign === undefined || Number(hours) > 14 || Number(minutes) > 59) return null;
  return (sign === '-' ? -1 : 1) * (Number(hours) * 60 + Number(minutes)) * 60_000;
}

const USUAL_TIME = ['t', 'time', 'timestamp', 'date'];

/** Makes readings of the rows below a row of titles. */
export class CsvMapping {
  readonly #wishes: CsvWishes;
  readonly #titles: readonly string[];
  readonly #time: number;
  readonly #values: readonly {
    readonly index: number;
    readonly kind: TransferReading['kind'];
    readonly unit: string | null;
  }[];
  readonly #long: Readonly<Record<'kind' | 'value', number>> | null;
  readonly #more: Readonly<Record<'unit' | 'keg' | 'probe' | 'received' | 'timeFrom', number>>;

  /** Throws `CellError` if a wanted column is not there. */
  constructor(titles: readonly string[], wishes: CsvWishes) {
    this.#wishes = wishes;
    this.#titles = titles.map((title) => title.trim());
    const usual = USUAL_TIME.map((name) => this.#find(name)).find((index) => index >= 0) ?? -1;
    this.#time = wishes.time === null ? usual : this.#find(wishes.time);
    if (this.#time < 0) throw this.#missing(wishes.time ?? 'for the time', '--time TITLE');
    this.#values = wishes.columns.map(({ column, kind, unit }) => {
      const index = this.#find(column);
      if (index < 0) throw this.#missing(column, '--columns TITLE=kind:unit');
      return { index, kind, unit };
    });
    const kind = Math.max(this.#find('kind'), this.#find('quantity'));
    const value = this.#find('value');
    const isLong = wishes.columns.length === 0;
    if (isLong && (kind < 0 || value < 0)) throw this.#missing('kind or value', '--columns TITLE=kind:unit');
    this.#long = isLong ? { kind, value } : null;
    const of = (name: string) => (isLong ? this.#find(name) : -1);
    this.#more = {
      unit: of('unit'),
      keg: this.#find('keg'),
      probe: of('probe'),
      received: of('received'),
      timeFrom: of('timeFrom'),
    };
  }

  /** Readings of a row; none of an empty cell. Throws `CellError`. */
  readings(cells: readonly string[]): TransferReading[] {
    const text = (index: number) => unguarded((index < 0 ? '' : (cells[index] ?? '')).trim());
    if (cells.length > this.#titles.length)
      throw new CellError(
        `there are ${cells.length} cells under ${this.#titles.length} titles; check separators and quotes`,
      );
    const t = this.#instant(text(this.#time), this.#titles[this.#time] ?? '');
    const keg = text(this.#more.keg);
    const common = keg === '' ? { t } : { t, keg };
    if (this.#long === null) {
      return this.#values.flatMap(({ index, kind, unit }) => {
        const value = this.#number(text(index), this.#titles[index] ?? '');
        return value === null ? [] : { ...common, kind, value, ...(unit === null ? {} : { unit }) };
      });
    }
    const kind = Quantity.safeParse(text(this.#long.kind));
    if (!kind.success) {
      const near = nearest(text(this.#long.kind), QUANTITIES);
      throw new CellError(`kind: "${text(this.#long.kind)}" is none${near === null ? '' : `; did you mean ${near}?`}`);
    }
    const value = this.#number(text(this.#long.value), 'value');
    if (value === null) return [];
    const [unit, probe, received, timeFrom] = [
      text(this.#more.unit),
      text(this.#more.probe),
      text(this.#more.received),
      TimeFrom.safeParse(text(this.#more.timeFrom)),
    ];
    return [
      {
        ...common,
        kind: kind.data,
        value,
        ...(unit === '' ? {} : { unit }),
        ...(probe === '' ? {} : { probe }),
        ...(received === '' ? {} : { received: this.#instant(received, 'received') }),
        ...(timeFrom.success ? { timeFrom: timeFrom.data } : {}),
      },
    ];
  }

  #find(column: string): number {
    const [, number] = /^#(\d+)$/.exec(column) ?? [];
    if (number !== undefined) return Number(number) <= this.#titles.length ? Number(number) - 1 : -1;
    const exact = this.#titles.indexOf(column);
    if (exact >= 0) return exact;
    return this.#titles.findIndex((title) => title.toLowerCase() === column.toLowerCase());
  }

  #missing(what: string, option: string): CellError {
    const titles = this.#titles.map((title, index) => `#${index + 1} "${title}"`).join(', ');
    return new CellError(`there is no column ${what}; the first line has ${titles}. Say which with ${option}`);
  }

  #number(text: string, title: string): number | null {
    if (text === '') return null;
    const plain = this.#wishes.decimalComma ? text.replace(',', '.') : text;
    if (/^[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d+)?$/i.test(plain)) return Number(plain);
    const hint = /^[+-]?\d+,\d+$/.test(text) ? '; say --decimal-comma if commas stand for points' : '';
    throw new CellError(`${title}: "${text.slice(0, 40)}" is no number${hint}`);
  }

  #instant(text: string, title: string): string {
    if (/^\d{8,16}(\.\d+)?$/.test(text)) {
      // Seconds until the year 5138, milliseconds from 1973.
      const atMs = Number(text) < 1e11 ? Number(text) * 1000 : Number(text);
      return new Date(Math.round(atMs)).toISOString();
    }
    const [, day, time, fraction = '', zone] =
      /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d(?::\d\d)?)([.,]\d+)?\s*(Z|[+-]\d\d:?\d\d)?$/i.exec(text) ?? [];
    const local = Date.parse(`${day}T${time}${fraction.replace(',', '.')}Z`);
    if (!Number.isFinite(local)) {
      throw new CellError(
        `${title}: "${text.slice(0, 40)}" is no time that is understood; give 2026-03-01T18:30:00Z, 2026-03-01 18:30, or Unix seconds`,
      );
    }
    const { utcOffsetMs } = this.#wishes;
    const offsetMs = zone === undefined ? utcOffsetMs : /z/i.test(zone) ? 0 : offsetOf(zone);
    if (offsetMs === null)
      throw new CellError(
        `${title}: ${text} does not say its offset from UTC; say it with --utc-offset, such as +01:00`,
      );
    return new Date(local - offsetMs).toISOString();
  }
}

/** Takes off the apostrophe that keeps a text from being a formula. */
function unguarded(text: string): string {
  return /^'[=+\-@\t\r]/.test(text) ? text.slice(1) : text;
}
