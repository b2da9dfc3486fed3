/** Rows of comma-separated text, as RFC 4180 has it and spreadsheets write it, a chunk at a time. */
import { createReadStream } from 'node:fs';
import { LineError } from './json-lines.ts';

export interface CsvRow {
  /** Line on which the row begins, counted from 1. */
  readonly line: number;
  readonly cells: readonly string[];
}

const ROW_MAX = 64 * 1024;
const SEPARATORS = [',', ';', '\t'];

/** What stands between cells: whichever of comma, semicolon and tab is most frequent in the first line. */
export function guessSeparator(firstLine: string): string {
  const count = (separator: string) => firstLine.split(separator).length;
  return SEPARATORS.reduce((best, other) => (count(other) > count(best) ? other : best));
}

/**
 * Reads all rows; empty lines are passed over.
 * @param separator null: guessed from the first line
 * Throws `LineError` at a row that is far too long or a quoted cell without an end.
 */
export async function* csvRows(
  path: string,
  file: string,
  separator: string | null,
  onBytes: (bytes: number) => void,
): AsyncGenerator<CsvRow[]> {
  let parser: RowParser | null = separator === null ? null : new RowParser(file, separator);
  let head = '';
  const chunks: AsyncIterable<string> = createReadStream(path, { encoding: 'utf8', highWaterMark: 64 * 1024 });
  for await (const chunk of chunks) {
    onBytes(Buffer.byteLength(chunk));
    head += chunk;
    if (parser === null && !/[\r\n]/.test(head)) continue;
    parser ??= new RowParser(file, guessSeparator(head.split(/[\r\n]/, 1)[0] ?? ''));
    yield parser.take(head);
    head = '';
  }
  parser ??= new RowParser(file, guessSeparator(head));
  yield [...parser.take(head), ...parser.end()];
}

class RowParser {
  readonly #file: string;
  readonly #separator: string;
  #line = 1;
  #rowLine = 1;
  #cells: string[] = [];
  #cell = '';
  #length = 0;
  #state: 'start' | 'plain' | 'quoted' | 'quote-in-quoted' = 'start';
  #afterReturn = false;
  #isFirst = true;

  constructor(file: string, separator: string) {
    this.#file = file;
    this.#separator = separator;
  }

  take(text: string): CsvRow[] {
    const rows: CsvRow[] = [];
    const begin = this.#isFirst && text.startsWith('\uFEFF') ? 1 : 0;
    if (text !== '') this.#isFirst = false;
    for (let i = begin; i < text.length; i += 1) this.#step(text[i] ?? '', rows);
    return rows;
  }

  end(): CsvRow[] {
    if (this.#state === 'quoted') {
      throw new LineError(this.#file, this.#rowLine, 'a quoted cell has no end; close it with "');
    }
    const rows: CsvRow[] = [];
    this.#endRow(rows);
    return rows;
  }

  #step(character: string, rows: CsvRow[]): void {
    const isBreak = character === '\n' || character === '\r';
    // A return and a line feed are one end.
    const isSecond = character === '\n' && this.#afterReturn;
    this.#afterReturn = character === '\r';
    if (isBreak && !isSecond) this.#line += 1;
    if (this.#state === 'quoted') {
      if (character === '"') this.#state = 'quote-in-quoted';
      else this.#add(character);
      return;
    }
    if (isBreak) {
      if (!isSecond) this.#endRow(rows);
      else this.#rowLine = this.#line;
      return;
    }
    if (character === this.#separator) {
      this.#cells.push(this.#cell);
      this.#cell = '';
      this.#state = 'start';
    } else if (character === '"' && this.#state !== 'plain') {
      // Two quotes in a quoted cell stand for one.
      if (this.#state === 'quote-in-quoted') this.#add(character);
      this.#state = 'quoted';
    } else {
      this.#state = 'plain';
      this.#add(character);
    }
  }

  #add(character: string): void {
    this.#cell += character;
    this.#length += 1;
    if (this.#length > ROW_MAX) {
      throw new LineError(
        this.#file,
        this.#rowLine,
        `this row is longer than ${ROW_MAX} characters; is a quote missing?`,
      );
    }
  }

  #endRow(rows: CsvRow[]): void {
    const cells = [...this.#cells, this.#cell];
    if (cells.length > 1 || cells[0] !== '') rows.push({ line: this.#rowLine, cells });
    this.#cells = [];
    this.#cell = '';
    this.#length = 0;
    this.#state = 'start';
    this.#rowLine = this.#line;
  }
}
