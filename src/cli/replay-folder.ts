/** The two files of a folder to replay, checked line by line. */
import { readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { plainEntry } from '../app/replay-entry.ts';
import { nearest } from '../config/suggest.ts';
import { EVENT_KINDS, EventEntry, KegAbout, QUANTITIES, ReplayEvent, TransferReading } from '../contract/index.ts';
import { jsonLines, LineError } from './json-lines.ts';

export const EVENTS_FILE = 'events.jsonl';
export const READINGS_FILE = 'readings.jsonl';
/** Fills with their bottles, and kept plans: there only if there are any; a replay leaves it aside. */
export const FILLS_FILE = 'fills.jsonl';
/** Whose they are; an import needs it, a replay does not. */
export const ABOUT_FILE = 'keg.json';

/** The folder is not one that can be replayed; the message says what is missing. */
export class FolderError extends Error {
  override readonly name = 'FolderError';
}

/** More entries than anyone makes on one keg. */
const EVENTS_MAX = 20_000;

export interface FolderEvent {
  readonly kegId: string | null;
  readonly entry: EventEntry;
  /** What an export keeps of an entry besides. */
  readonly eventId: string | null;
  readonly enteredAt: string | null;
}

export interface FolderReading {
  readonly line: number;
  readonly reading: TransferReading;
}

/** What was passed over in a folder, said once at the end. */
export type Note = (about: string, where: string) => void;

/** Sizes of both files (bytes). Throws `FolderError` if one is not there. */
export async function folderSize(folder: string): Promise<number> {
  const sizes = await Promise.all([EVENTS_FILE, READINGS_FILE].map((file) => fileSize(folder, file)));
  return sizes.reduce((sum, size) => sum + size, 0);
}

async function fileSize(folder: string, file: string): Promise<number> {
  try {
    const found = await stat(join(folder, file));
    if (!found.isFile()) throw new FolderError(`${join(folder, file)} is no file`);
    return found.size;
  } catch (error) {
    if (error instanceof FolderError) throw error;
    throw new FolderError(
      `${join(folder, file)} cannot be read; a folder to replay has ${EVENTS_FILE} and ${READINGS_FILE}`,
    );
  }
}

/** Reads all entries. The same entry twice counts once. */
export async function readEvents(folder: string, note: Note, onBytes: (bytes: number) => void): Promise<FolderEvent[]> {
  const events: FolderEvent[] = [];
  const seen = new Set<string>();
  for await (const lines of jsonLines(join(folder, EVENTS_FILE), EVENTS_FILE, onBytes)) {
    for (const { line, value } of lines) {
      const event = readEvent(value, EVENTS_FILE, line, note);
      const text = JSON.stringify([event.kegId, event.entry]);
      if (seen.has(text)) continue;
      seen.add(text);
      events.push(event);
      if (events.length > EVENTS_MAX) throw new LineError(EVENTS_FILE, line, `more than ${EVENTS_MAX} entries`);
    }
  }
  if (!events.some(({ entry }) => entry.kind === 'keg-filled')) {
    throw new FolderError(`${EVENTS_FILE} has no keg-filled; say when the keg was filled and with how much`);
  }
  return events;
}

/** Reads an entry of a line. Throws `LineError`. */
export function readEvent(value: unknown, file: string, line: number, note: Note): FolderEvent {
  const event = ReplayEvent.safeParse(value);
  if (!event.success) throw new LineError(file, line, issueWords(event.error.issues, value, EVENT_KINDS));
  const plain = plainEntry(event.data);
  if (!plain.ok) throw new LineError(file, line, plain.reason);
  const entry = readEntry(plain.entry, file, line, note);
  if (entry.kind === 'keg-filled' && entry.beerLitres > entry.totalLitres) {
    const reason = `beerLitres: ${entry.beerLitres} L of beer do not go into a keg of ${entry.totalLitres} L`;
    throw new LineError(file, line, reason);
  }
  const { keg = null, eventId = null, enteredAt = null } = event.data;
  return { kegId: keg, entry, eventId, enteredAt };
}

/** Members that an entry does not have are passed over and noted: they may be another program's own. */
function readEntry(plain: Readonly<Record<string, unknown>>, file: string, line: number, note: Note): EventEntry {
  const entry = EventEntry.safeParse(plain);
  if (entry.success) return entry.data;
  const odd = entry.error.issues.flatMap((issue) => (issue.code === 'unrecognized_keys' ? issue.keys : []));
  if (odd.length === 0) throw new LineError(file, line, issueWords(entry.error.issues, plain, EVENT_KINDS));
  for (const key of odd) note(`${key} is not known and was passed over`, `${file}:${line}`);
  const known = EventEntry.safeParse(Object.fromEntries(Object.entries(plain).filter(([key]) => !odd.includes(key))));
  if (!known.success) throw new LineError(file, line, issueWords(known.error.issues, plain, EVENT_KINDS));
  return known.data;
}

/** What a folder says of its keg; null if it says nothing. Throws `FolderError` if that cannot be read. */
export async function readAbout(folder: string): Promise<KegAbout | null> {
  const path = join(folder, ABOUT_FILE);
  const text = await readFile(path, 'utf8').catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return null;
    throw new FolderError(`${path} cannot be read: ${error.message}`);
  });
  if (text === null) return null;
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw new FolderError(`${path} is no JSON: ${(error as Error).message}; correct it, or leave the file away`);
  }
  const about = KegAbout.safeParse(value);
  if (!about.success) throw new FolderError(`${path}: ${issueWords(about.error.issues, value, [])}`);
  return about.data;
}

/** Reads the readings, a chunk of lines at a time, in order of arrival. */
export async function* readReadings(folder: string, onBytes: (bytes: number) => void): AsyncGenerator<FolderReading[]> {
  for await (const lines of jsonLines(join(folder, READINGS_FILE), READINGS_FILE, onBytes)) {
    const good: FolderReading[] = [];
    for (const { line, value } of lines) {
      const reading = TransferReading.safeParse(value);
      if (reading.success) {
        good.push({ line, reading: reading.data });
        continue;
      }
      yield good;
      throw new LineError(READINGS_FILE, line, issueWords(reading.error.issues, value, QUANTITIES));
    }
    yield good;
  }
}

interface Issue {
  readonly path: readonly PropertyKey[];
  readonly message: string;
}

/** What is wrong with a line, in words; of a wrong kind, which was likely meant. */
export function issueWords(issues: readonly Issue[], value: unknown, kinds: readonly string[]): string {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return 'this is no object; give one a line';
  const kind: unknown = Reflect.get(value, 'kind');
  if (typeof kind === 'string' && !kinds.includes(kind)) {
    const near = nearest(kind, kinds);
    return `kind: ${JSON.stringify(kind.slice(0, 60))} is none${near === null ? '' : `; did you mean ${near}?`} Known are ${kinds.join(', ')}`;
  }
  return issues
    .map(({ path, message }) => (path.length === 0 ? message : `${path.map(String).join('.')}: ${message}`))
    .join('; ');
}
