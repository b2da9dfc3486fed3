/** `quietkeg replay`: what was known of one keg, step by step, from a folder of its readings and events. */
import { writeFile } from 'node:fs/promises';
import { isReplayInterval, Replay, ReplayTimeError } from '../app/replay.ts';
import { replayEvents } from '../app/replay-feed.ts';
import type { ReplayLine } from '../contract/index.ts';
import { describeFlags, type Flag, parseArguments, UsageError } from './arguments.ts';
import { EXIT, type PlainIo } from './command.ts';
import { LineError } from './json-lines.ts';
import { Progress } from './progress.ts';
import {
  FolderError,
  type FolderReading,
  folderSize,
  READINGS_FILE,
  readAbout,
  readEvents,
  readReadings,
} from './replay-folder.ts';
import { replayPage } from './replay-page.ts';

const FLAGS: readonly Flag[] = [
  {
    flag: '--every',
    value: 'TIME',
    description: 'How often to say something: 5m, 15m (usual), 1h; whole steps of 5m.',
  },
  { flag: '--html', value: 'FILE', description: 'Write the curve as one page that needs nothing else.' },
  { flag: '--seed', value: 'NUMBER', description: 'Seed of the estimate’s chance; usually 1.' },
  { flag: '--help', value: null, description: 'Show this.' },
];

const HELP = `quietkeg replay DIR [options]

Reads DIR/events.jsonl (what was done) and DIR/readings.jsonl (what was measured, in order of
arrival), and prints what was known at each quarter hour as JSON lines, from the filling on.
Nothing later than a line's own time bears on it. If there is a DIR/keg.json, as quietkeg export
writes it, its calibrations and its altitude count.

${describeFlags(FLAGS)}

A reading:  {"t":"2026-03-01T18:30:00Z","kind":"headspace-pressure","value":1.2,"unit":"bar"}
An event:   {"t":"2026-03-01T18:00:00Z","kind":"regulator-set","value":12,"unit":"[psi]"}

Exit: 0 done, 1 failed, 2 wrong usage.
`;

type Io = Pick<PlainIo, 'out' | 'err' | 'errIsTerminal'>;

interface Wishes {
  readonly folder: string;
  readonly everyMs: number;
  readonly seed: number;
  readonly html: string | null;
}

/** Runs the command; resolves to its exit code. */
export async function replayCommand(args: readonly string[], io: Io): Promise<number> {
  const { flags, rest } = parseArguments(args, FLAGS);
  if (flags.has('--help')) {
    io.out(HELP);
    return EXIT.done;
  }
  const [folder, ...more] = rest;
  if (folder === undefined || more.length > 0)
    throw new UsageError('give one folder: quietkeg replay DIR. See --help.');
  const wishes: Wishes = {
    folder,
    everyMs: everyMsOf(flags.get('--every') ?? '15m'),
    seed: wholeNumber('--seed', flags.get('--seed') ?? '1', 2 ** 31 - 1),
    html: flags.get('--html') ?? null,
  };
  try {
    await replayFolder(wishes, io);
    return EXIT.done;
  } catch (error) {
    if (!(error instanceof LineError || error instanceof FolderError)) throw error;
    io.err(`quietkeg replay: ${error.message}\n`);
    return EXIT.failed;
  }
}

/** Reads a whole number from 0 to `max`. */
export function wholeNumber(flag: string, text: string, max: number): number {
  const value = Number(text);
  if (!/^\d+$/.test(text) || value > max) throw new UsageError(`${flag} ${text}: give a whole number from 0 to ${max}`);
  return value;
}

const UNIT_MS: Readonly<Record<string, number>> = { m: 60_000, min: 60_000, h: 3600_000 };

function everyMsOf(text: string): number {
  const [, count, unit] = /^(\d{1,4})(m|min|h)$/.exec(text) ?? [];
  const everyMs = Number(count) * (UNIT_MS[unit ?? ''] ?? Number.NaN);
  if (!isReplayInterval(everyMs)) {
    throw new UsageError(`--every ${text}: give whole steps of 5m that fit into a day, such as 5m, 15m or 1h`);
  }
  return everyMs;
}

async function replayFolder(wishes: Wishes, io: Io): Promise<void> {
  const notes = new Notes();
  const progress = new Progress(io, await folderSize(wishes.folder));
  const events = await readEvents(wishes.folder, notes.add, progress.add);
  // Entries and readings may leave the keg out; then whichever names one first says which it is.
  const named = events.find((event) => event.kegId !== null)?.kegId ?? (await firstKegOf(wishes.folder));
  const kegId = named ?? 'keg';
  const mine = events.filter((event) => event.kegId === null || event.kegId === kegId);
  if (mine.length < events.length) notes.add(`entries of other kegs than ${kegId} were passed over`, 'events.jsonl');
  const entries = mine.map(({ entry }) => entry);
  const about = await readAbout(wishes.folder);
  const replay = new Replay({ ...wishes, kegId, events: replayEvents(kegId, entries), about });
  const kept: ReplayLine[] = [];
  let usable = 0;
  for await (const readings of readReadings(wishes.folder, progress.add)) {
    let text = '';
    for (const reading of readings) {
      const lines = takeReading(replay, kegId, reading, notes);
      if (lines === null) continue;
      usable += 1;
      for (const line of lines) text += `${JSON.stringify(line)}\n`;
      if (wishes.html !== null) kept.push(...lines);
    }
    if (text !== '') io.out(text);
  }
  progress.end();
  if (usable === 0) throw new FolderError(`${READINGS_FILE} has no usable reading; there is nothing to tell`);
  for (const { probeId, slowMs } of replay.skews) {
    const minutes = Math.round(Math.abs(slowMs) / 60_000);
    notes.add(`the clock of ${probeId} is ${minutes} min ${slowMs > 0 ? 'slow' : 'fast'}`, READINGS_FILE);
  }
  if (replay.unbelieved > 0) notes.add(`${replay.unbelieved} readings lie far ahead of all others`, READINGS_FILE);
  for (const note of notes.words()) io.err(`quietkeg replay: ${note}\n`);
  if (wishes.html !== null) {
    await writePage(wishes.html, replayPage({ kegId, lines: kept, windows: replay.windows, entries }));
  }
}

async function firstKegOf(folder: string): Promise<string | null> {
  try {
    for await (const readings of readReadings(folder, () => undefined)) {
      const named = readings.find(({ reading }) => reading.keg !== undefined);
      if (named !== undefined) return named.reading.keg ?? null;
    }
  } catch (error) {
    // The replay meets the broken line again, and first says what stands before it.
    if (!(error instanceof LineError)) throw error;
  }
  return null;
}

/** The lines that a reading brings; null if it could not be used. */
function takeReading(
  replay: Replay,
  kegId: string,
  { line, reading }: FolderReading,
  notes: Notes,
): readonly ReplayLine[] | null {
  const where = `${READINGS_FILE}:${line}`;
  if (reading.keg !== undefined && reading.keg !== kegId) {
    notes.add(`readings of other kegs than ${kegId} were passed over`, where);
    return null;
  }
  if (reading.value === null) {
    notes.add('readings without a value were passed over', where);
    return null;
  }
  try {
    const taken = replay.take({
      quantity: reading.kind,
      atMs: Date.parse(reading.t),
      value: reading.value,
      unit: reading.unit ?? null,
      probeId: reading.probe,
    });
    if (taken.ok) return taken.lines;
    if (taken.fault === 'unit') throw new LineError(READINGS_FILE, line, taken.reason);
    notes.add(`impossible values of ${reading.kind} were passed over, the first: ${taken.reason}`, where, reading.kind);
    return null;
  } catch (error) {
    if (error instanceof ReplayTimeError) throw new LineError(READINGS_FILE, line, error.message);
    throw error;
  }
}

async function writePage(file: string, page: string): Promise<void> {
  try {
    await writeFile(file, page);
  } catch (error) {
    throw new FolderError(`cannot write ${file}: ${error instanceof Error ? error.message : String(error)}`);
  }
}

/** What was passed over, each kind once, with where it was met first and how often. */
class Notes {
  readonly #met = new Map<string, { readonly about: string; readonly where: string; count: number }>();

  readonly add = (about: string, where: string, key = about): void => {
    const known = this.#met.get(key);
    if (known === undefined) this.#met.set(key, { about, where, count: 1 });
    else known.count += 1;
  };

  words(): string[] {
    return [...this.#met.values()].map(({ about, where, count }) =>
      count === 1 ? `${where}: ${about}` : `${where} and ${count - 1} more: ${about}`,
    );
  }
}
