/** `quietkeg export`: all that was measured and entered of one keg, as a folder to replay, import or look at. */
import { mkdir, readdir, rmdir } from 'node:fs/promises';
import { join } from 'node:path';
import { StartError } from '../compose.ts';
import { ConfigError } from '../config/load.ts';
import { Instant } from '../contract/index.ts';
import { nowMs, openForExport } from '../offline.ts';
import { describeFlags, type Flag, parseArguments, UsageError } from './arguments.ts';
import { type CommandIo, EXIT } from './command.ts';
import { type Exported, type ExportFormat, ExportRefusal, writeFolder } from './export-folder.ts';
import { KEPT_FLAGS, keptSettings } from './kept-settings.ts';
import { Progress } from './progress.ts';

const FLAGS: readonly Flag[] = [
  { flag: '--keg', value: 'ID', description: 'Which keg. It must be named.' },
  { flag: '--from', value: 'TIME', description: 'Readings from here on, as 2026-03-01T18:30:00Z; usually all.' },
  { flag: '--to', value: 'TIME', description: 'Readings and entries before this; usually up to now.' },
  {
    flag: '--with-received',
    value: null,
    description: 'Keep the order of arrival, and say of each reading when it came and why it has its time.',
  },
  { flag: '--format', value: 'jsonl|csv', description: 'JSON lines (usual), or files for a spreadsheet.' },
  { flag: '--json', value: null, description: 'Say what was written as one JSON object.' },
  ...KEPT_FLAGS,
];

const HELP = `quietkeg export DIR --keg ID [options]

Writes into DIR, a new or an empty folder:
  events.jsonl    what was done, in order of time
  readings.jsonl  what the probes said, uncalibrated, in order of time, one reading a line
  keg.json        the keg, its place and gas supply, its batches, and how its probes are read
  fills.jsonl     fills with their bottles, and fill plans, if there are any
quietkeg replay and quietkeg import take such a folder. With --format csv: readings.csv and
events.csv, for a spreadsheet; an import takes readings.csv as it is.
Works while the service runs and while it is stopped.

${describeFlags(FLAGS)}

Exit: 0 done, 1 failed, 2 wrong usage, 78 bad configuration.
`;

interface Wishes {
  readonly folder: string;
  readonly kegId: string;
  readonly fromMs: number;
  readonly toMs: number;
  readonly withReceived: boolean;
  readonly format: ExportFormat;
}

/** Runs the command; resolves to its exit code. */
export async function exportCommand(args: readonly string[], io: CommandIo): Promise<number> {
  const { flags, rest } = parseArguments(args, FLAGS);
  if (flags.has('--help')) {
    io.out(HELP);
    return EXIT.done;
  }
  const wishes = wishesOf(flags, rest);
  let stopped = false;
  void io.stopAsked.then(() => {
    stopped = true;
  });
  try {
    const desk = await openForExport(keptSettings(flags, io));
    try {
      const past = await desk.kegExport.past(wishes.kegId, wishes);
      if (past === null) throw new ExportRefusal(unknownKeg(wishes.kegId, desk.kegExport.kegIds()));
      const { fromMs, toMs } = past.extent ?? { fromMs: 0, toMs: 0 };
      const progress = new Progress(io, toMs - fromMs, 'written');
      const isNew = await makeFolder(wishes.folder);
      try {
        const exported = await writeFolder(past, wishes, (atMs) => {
          if (stopped) throw new ExportRefusal('stopped before the end; nothing was written');
          progress.at(atMs - fromMs);
        });
        progress.end();
        const gone = past.everHeard - exported.readings;
        if (gone > 0 && !flags.has('--from') && !flags.has('--to'))
          io.err(`quietkeg export: of ${gone} old readings only the minutes are kept; they are not in these files\n`);
        io.out(flags.has('--json') ? `${JSON.stringify(exported)}\n` : words(exported));
      } catch (error) {
        progress.end();
        if (isNew) await rmdir(wishes.folder).catch(() => undefined);
        throw error;
      }
    } finally {
      await desk.close();
    }
    return EXIT.done;
  } catch (error) {
    return told(error, io);
  }
}

function told(error: unknown, io: CommandIo): number {
  if (error instanceof ConfigError) {
    for (const line of error.message.split('\n')) io.err(`quietkeg export: ${line}\n`);
    return EXIT.config;
  }
  const isExpected = error instanceof ExportRefusal || error instanceof StartError || isOfSystem(error);
  if (!isExpected) throw error;
  io.err(`quietkeg export: ${(error as Error).message}\n`);
  return EXIT.failed;
}

/** A full disk, a folder that cannot be written: the system's own words name it. */
function isOfSystem(error: unknown): boolean {
  return error instanceof Error && 'code' in error;
}

function wishesOf(flags: ReadonlyMap<string, string>, rest: readonly string[]): Wishes {
  const [folder, ...more] = rest;
  if (folder === undefined || more.length > 0)
    throw new UsageError('give one folder: quietkeg export DIR --keg ID. See --help.');
  const kegId = flags.get('--keg');
  if (kegId === undefined) throw new UsageError('say which keg: --keg ID');
  const format = flags.get('--format') ?? 'jsonl';
  if (format !== 'jsonl' && format !== 'csv') throw new UsageError(`--format ${format}: give jsonl or csv`);
  const fromMs = timeOf('--from', flags.get('--from')) ?? Number.MIN_SAFE_INTEGER;
  // A probe's clock may run ahead of ours by a little.
  const toMs = timeOf('--to', flags.get('--to')) ?? nowMs() + 10 * 60_000;
  if (fromMs >= toMs) throw new UsageError('--from must lie before --to');
  return { folder, kegId, fromMs, toMs, withReceived: flags.has('--with-received'), format };
}

function timeOf(flag: string, text: string | undefined): number | null {
  if (text === undefined) return null;
  const atMs = Instant.safeParse(text).success ? Date.parse(text) : Date.parse(`${text}T00:00:00Z`);
  if (!Number.isFinite(atMs))
    throw new UsageError(`${flag} ${text}: give a time such as 2026-03-01T18:30:00Z, or a day such as 2026-03-01`);
  return atMs;
}

/** Makes the folder; true if it was not there. An existing one must be empty: nothing is overwritten. */
async function makeFolder(folder: string): Promise<boolean> {
  try {
    if ((await readdir(folder)).length > 0)
      throw new ExportRefusal(`${folder} is not empty; name a new folder, or an empty one`);
    return false;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
  }
  await mkdir(join(folder), { recursive: true });
  return true;
}

function unknownKeg(kegId: string, known: readonly string[]): string {
  return `nothing is known of a keg ${kegId}; known are ${known.length === 0 ? 'none' : known.join(', ')}`;
}

function words({ kegId, events, fills, readings, files, folder }: Exported): string {
  const filled = fills === 0 ? ' and' : `, ${fills} lines of fills and`;
  return `${kegId}: ${events} entries${filled} ${readings} readings are in ${folder} (${files.join(', ')})\n`;
}
