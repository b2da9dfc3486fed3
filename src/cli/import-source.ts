/** What an import reads: a replay folder, JSON lines, or a table, as one stream of entries and readings. */
import { stat } from 'node:fs/promises';
import { basename, join } from 'node:path';
import {
  EVENT_KINDS,
  FILL_LINE_KINDS,
  type ImportEvent,
  type ImportReading,
  type KegAbout,
  QUANTITIES,
  TransferFillLine,
  TransferReading,
} from '../contract/index.ts';
import { CellError, CsvMapping, type CsvWishes } from './csv-mapping.ts';
import { csvRows } from './csv-rows.ts';
import { LineError, parseJsonLine, textLines } from './json-lines.ts';
import {
  EVENTS_FILE,
  FILLS_FILE,
  FolderError,
  issueWords,
  READINGS_FILE,
  readAbout,
  readEvent,
} from './replay-folder.ts';

export type FileForm = 'ndjson' | 'csv';

export interface ImportSource {
  readonly files: readonly { readonly path: string; readonly form: FileForm }[];
  readonly about: KegAbout | null;
  /** Size of all files (bytes). */
  readonly size: number;
}

export interface SourceWishes {
  /** Keg of lines that name none; null: whichever the files name first. */
  readonly kegId: string | null;
  readonly csv: CsvWishes;
}

/** One thing that was read; `where` is its file and line. */
export type SourceItem = { readonly where: string } & (
  | { readonly kind: 'event'; readonly event: ImportEvent }
  | { readonly kind: 'reading'; readonly reading: ImportReading }
  /** A fill, a bottle or a plan. */
  | { readonly kind: 'fill'; readonly line: TransferFillLine }
  /** Not usable, and not meant to be: said once. */
  | { readonly kind: 'note'; readonly text: string }
  | { readonly kind: 'problem'; readonly text: string }
);

/** A plan with its steps and calendar entries is a long line (characters). */
const FILL_LINE_MAX = 256 * 1024;

/** Finds out what a path is. Throws `FolderError` if it is nothing that can be imported. */
export async function findSource(path: string, form: FileForm | null): Promise<ImportSource> {
  const found = await stat(path).catch(() => null);
  if (found === null) throw new FolderError(`${path} is not there; name a folder or a file`);
  if (found.isFile()) {
    return { files: [{ path, form: form ?? formOf(path) }], about: null, size: found.size };
  }
  const files: { path: string; form: FileForm }[] = [];
  let size = 0;
  for (const name of [EVENTS_FILE, FILLS_FILE, READINGS_FILE]) {
    const inside = await stat(join(path, name)).catch(() => null);
    if (inside === null || !inside.isFile()) continue;
    files.push({ path: join(path, name), form: 'ndjson' });
    size += inside.size;
  }
  if (files.length === 0) {
    throw new FolderError(
      `${path} has neither ${EVENTS_FILE} nor ${READINGS_FILE}; name a folder with them, or one file of it`,
    );
  }
  return { files, about: await readAbout(path), size };
}

function formOf(path: string): FileForm {
  if (/\.(csv|tsv|txt)$/i.test(path)) return 'csv';
  if (/\.(jsonl|ndjson|json)$/i.test(path)) return 'ndjson';
  throw new FolderError(`${path}: its name does not say what it is; say --format ndjson or --format csv`);
}

/** Reads everything, in portions. A line that cannot be used is a problem among the others, not the end. */
export async function* sourceItems(
  source: ImportSource,
  wishes: SourceWishes,
  onBytes: (bytes: number) => void,
): AsyncGenerator<readonly SourceItem[]> {
  for (const { path, form } of source.files) {
    const file = basename(path);
    try {
      if (form === 'csv') yield* tableItems(path, file, wishes, onBytes);
      else yield* lineItems(path, file, wishes, onBytes);
    } catch (error) {
      // What breaks the file itself: a line without end, a quote that is never closed.
      if (!(error instanceof LineError)) throw error;
      yield [{ kind: 'problem', where: '', text: error.message }];
    }
  }
}

async function* lineItems(path: string, file: string, { kegId }: SourceWishes, onBytes: (bytes: number) => void) {
  const longest = file === FILLS_FILE ? FILL_LINE_MAX : undefined;
  for await (const lines of textLines(path, file, onBytes, longest)) {
    yield lines.flatMap(({ line, text }): SourceItem[] => {
      try {
        return parseJsonLine(text, file, line, longest).flatMap(({ value }) => itemsOf(value, file, line, kegId));
      } catch (error) {
        if (!(error instanceof LineError)) throw error;
        return [{ kind: 'problem', where: '', text: error.message }];
      }
    });
  }
}

/** An entry or a reading, told apart by their kinds. Throws `LineError`. */
function itemsOf(value: unknown, file: string, line: number, kegId: string | null): SourceItem[] {
  const where = `${file}:${line}`;
  const kind: unknown = typeof value === 'object' && value !== null ? Reflect.get(value, 'kind') : undefined;
  if (EVENT_KINDS.some((known) => known === kind)) {
    const notes: SourceItem[] = [];
    const note = (text: string) => notes.push({ kind: 'note', where, text });
    const read = readEvent(value, file, line, note);
    const keg = read.kegId ?? kegId;
    if (keg === null) throw new LineError(file, line, 'keg: it names none; say which with --keg');
    const { entry, eventId, enteredAt } = read;
    const own = { ...(eventId === null ? {} : { eventId }), ...(enteredAt === null ? {} : { enteredAt }) };
    return [...notes, { kind: 'event', where, event: { keg, entry, ...own } }];
  }
  if (FILL_LINE_KINDS.some((known) => known === kind)) {
    const own = kegId === null ? value : { keg: kegId, ...(value as object) };
    const filled = TransferFillLine.safeParse(own);
    if (!filled.success) throw new LineError(file, line, issueWords(filled.error.issues, value, FILL_LINE_KINDS));
    return [{ kind: 'fill', where, line: filled.data }];
  }
  const reading = TransferReading.safeParse(value);
  if (!reading.success) {
    throw new LineError(
      file,
      line,
      issueWords(reading.error.issues, value, [...QUANTITIES, ...EVENT_KINDS, ...FILL_LINE_KINDS]),
    );
  }
  return readingItems(reading.data, where, kegId);
}

function readingItems(reading: TransferReading, where: string, kegId: string | null): SourceItem[] {
  const { value } = reading;
  const keg = reading.keg ?? kegId;
  if (value === null) return [{ kind: 'note', where, text: 'readings without a value were passed over' }];
  if (keg === null) return [{ kind: 'problem', where, text: 'keg: it names none; say which with --keg' }];
  return [{ kind: 'reading', where, reading: { ...reading, value, keg } }];
}

async function* tableItems(path: string, file: string, wishes: SourceWishes, onBytes: (bytes: number) => void) {
  let mapping: CsvMapping | null = null;
  for await (const rows of csvRows(path, file, wishes.csv.separator, onBytes)) {
    const items: SourceItem[] = [];
    for (const { line, cells } of rows) {
      const where = `${file}:${line}`;
      try {
        if (mapping === null) mapping = new CsvMapping(cells, wishes.csv);
        else items.push(...checkedRow(mapping.readings(cells), where, wishes.kegId));
      } catch (error) {
        if (!(error instanceof CellError)) throw error;
        items.push({ kind: 'problem', where, text: error.message });
        // Without its columns a table says nothing.
        if (mapping !== null) continue;
        yield items;
        return;
      }
    }
    yield items;
  }
}

function checkedRow(readings: readonly TransferReading[], where: string, kegId: string | null): SourceItem[] {
  return readings.flatMap((one) => {
    const reading = TransferReading.safeParse(one);
    if (reading.success) return readingItems(reading.data, where, kegId);
    return [{ kind: 'problem', where, text: issueWords(reading.error.issues, one, QUANTITIES) }];
  });
}
