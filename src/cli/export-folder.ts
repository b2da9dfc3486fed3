/** The files of an export. */
import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import {
  csvRow,
  EVENT_COLUMNS,
  eventLine,
  eventRow,
  READING_COLUMNS,
  RECEIVED_COLUMNS,
  readingLine,
  readingRow,
} from '../app/export-lines.ts';
import { fillLineText } from '../app/fill-lines.ts';
import type { KegPast } from '../app/keg-export.ts';
import { type Keyed, sortedByKey } from './arrival-sort.ts';
import { LineFile } from './line-file.ts';
import { ABOUT_FILE, EVENTS_FILE, FILLS_FILE, READINGS_FILE } from './replay-folder.ts';

export type ExportFormat = 'jsonl' | 'csv';

/** It cannot be exported; the message says why and what to do. */
export class ExportRefusal extends Error {
  override readonly name = 'ExportRefusal';
}

export interface ExportForm {
  readonly folder: string;
  readonly withReceived: boolean;
  readonly format: ExportFormat;
}

export interface Exported {
  readonly kegId: string;
  readonly folder: string;
  readonly files: readonly string[];
  readonly events: number;
  /** Fills, bottles and plans. */
  readonly fills: number;
  readonly readings: number;
}

/** Writes a keg's past; a failure leaves no half of it behind. `onTime` hears how far it is. */
export async function writeFolder(past: KegPast, form: ExportForm, onTime: (atMs: number) => void): Promise<Exported> {
  const { keg, events, fills, about } = past;
  const { folder, format } = form;
  const isCsv = format === 'csv';
  const jsonNames = [EVENTS_FILE, READINGS_FILE, ABOUT_FILE, ...(fills.length === 0 ? [] : [FILLS_FILE])];
  const names = isCsv ? ['events.csv', 'readings.csv'] : jsonNames;
  const [eventsName = '', readingsName = ''] = names;
  try {
    const entries = isCsv
      ? [csvRow(EVENT_COLUMNS), ...events.map((event) => eventRow(keg.kegId, event))]
      : events.map((event) => `${eventLine(keg.kegId, event)}\n`);
    await writeFile(join(folder, eventsName), entries);
    if (!isCsv) await writeFile(join(folder, ABOUT_FILE), [`${JSON.stringify(about, null, 2)}\n`]);
    if (names.includes(FILLS_FILE)) {
      const lines = fills.map((line) => `${fillLineText(line)}\n`);
      await writeFile(join(folder, FILLS_FILE), lines);
    }
    const readings = await writeReadings(join(folder, readingsName), past, form, onTime);
    return { kegId: keg.kegId, folder, files: names, events: events.length, fills: isCsv ? 0 : fills.length, readings };
  } catch (error) {
    for (const name of names) await rm(join(folder, name), { force: true });
    throw error;
  }
}

async function writeFile(path: string, texts: readonly string[]): Promise<void> {
  const file = await LineFile.create(path);
  try {
    for (const text of texts) await file.write(text);
    await file.finish();
  } catch (error) {
    await file.abandon();
    throw error;
  }
}

async function writeReadings(
  path: string,
  past: KegPast,
  { folder, withReceived, format }: ExportForm,
  onTime: (atMs: number) => void,
): Promise<number> {
  const file = await LineFile.create(path);
  let count = 0;
  try {
    if (format === 'csv') {
      await file.write(csvRow(withReceived ? [...READING_COLUMNS, ...RECEIVED_COLUMNS] : READING_COLUMNS));
    }
    const lines = readingLines(past, withReceived, format, onTime);
    const ordered = withReceived ? sortedByKey(lines, join(folder, '.in-order-of-arrival')) : lines;
    const end = format === 'csv' ? '\r\n' : '\n';
    for await (const portion of ordered) {
      count += portion.length;
      await file.write(portion.map(({ text }) => `${text}${end}`).join(''));
    }
    await file.finish();
    return count;
  } catch (error) {
    await file.abandon();
    throw error;
  }
}

/** Lines without their ends, each with the time of its receipt. */
async function* readingLines(
  { keg, readings }: KegPast,
  withReceived: boolean,
  format: ExportFormat,
  onTime: (atMs: number) => void,
): AsyncGenerator<readonly Keyed[]> {
  for await (const portion of readings()) {
    yield portion.map((one) => ({
      key: one.reading.receivedAtMs,
      text:
        format === 'csv'
          ? readingRow(keg.kegId, one, withReceived).trimEnd()
          : readingLine(keg.kegId, one, withReceived),
    }));
    onTime(portion.at(-1)?.reading.measuredAtMs ?? 0);
  }
}
