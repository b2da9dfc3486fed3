/** `quietkeg import`: the past of kegs out of files. */
import { StartError } from '../compose.ts';
import { ConfigError } from '../config/load.ts';
import { KegId } from '../contract/index.ts';
import { describeFlags, type Flag, parseArguments, UsageError } from './arguments.ts';
import { type CommandIo, EXIT } from './command.ts';
import { type CsvWishes, parseColumns, parseOffset } from './csv-mapping.ts';
import { bringIn, lookThrough } from './import-run.ts';
import { type FileForm, findSource, type ImportSource, type SourceWishes, sourceItems } from './import-source.ts';
import { ImportTally } from './import-tally.ts';
import { openTarget } from './import-target.ts';
import { KEPT_FLAGS, keptSettings } from './kept-settings.ts';
import { Progress } from './progress.ts';
import { FolderError } from './replay-folder.ts';

const FLAGS: readonly Flag[] = [
  { flag: '--keg', value: 'ID', description: 'Keg of lines that name none.' },
  { flag: '--check', value: null, description: 'Only look through the files and say what is wrong.' },
  { flag: '--skip-bad', value: null, description: 'Import what is good, and list the lines that are not.' },
  { flag: '--format', value: 'ndjson|csv', description: 'What a file is; usually told by its name.' },
  { flag: '--time', value: 'TITLE', description: 'CSV: column of the time; usually t, time, timestamp or date.' },
  {
    flag: '--columns',
    value: 'LIST',
    description: 'CSV: columns of values, as "Beer=beer-temperature:[degF],Keg bar=headspace-pressure:bar".',
  },
  { flag: '--utc-offset', value: '+HH:MM', description: 'CSV: offset of times that name none.' },
  { flag: '--separator', value: 'CHAR', description: 'CSV: what stands between cells; usually found out.' },
  { flag: '--decimal-comma', value: null, description: 'CSV: a comma stands for the decimal point.' },
  { flag: '--json', value: null, description: 'Say what became of it as one JSON object.' },
  ...KEPT_FLAGS,
];

const HELP = `quietkeg import DIR|FILE [options]

Takes in the past of kegs: a folder as quietkeg export writes it or quietkeg replay reads it, a
file of JSON lines, or a table (CSV) with a row of titles. The files are looked through first; if
a line is wrong, nothing is imported and the lines are named. What is here already stays as it is,
and the same import again changes nothing. Works while the service runs and while it is stopped.

${describeFlags(FLAGS)}

A reading:  {"t":"2026-03-01T18:30:00Z","keg":"one","kind":"headspace-pressure","value":1.2,"unit":"bar"}
An entry:   {"t":"2026-03-01T18:00:00Z","keg":"one","kind":"regulator-set","value":12,"unit":"[psi]"}
A table:    quietkeg import log.csv --keg one --time When --columns "Beer F=beer-temperature:[degF]"
A table of columns t, keg, kind, value and unit needs no --columns; #3 stands for the third column.

Exit: 0 done, 1 failed, 2 wrong usage, 78 bad configuration.
`;

/** Runs the command; resolves to its exit code. */
export async function importCommand(args: readonly string[], io: CommandIo): Promise<number> {
  const { flags, rest } = parseArguments(args, FLAGS);
  if (flags.has('--help')) {
    io.out(HELP);
    return EXIT.done;
  }
  const [path, ...more] = rest;
  if (path === undefined || more.length > 0)
    throw new UsageError('give one folder or file: quietkeg import DIR|FILE. See --help.');
  const form = formatOf(flags.get('--format'));
  const wishes: SourceWishes = { kegId: kegOf(flags.get('--keg')), csv: csvOf(flags) };
  let stopped = false;
  void io.stopAsked.then(() => {
    stopped = true;
  });
  const isStopped = () => stopped;
  try {
    const settings = keptSettings(flags, io);
    const source = await findSource(path, form);
    const named = { ...wishes, kegId: wishes.kegId ?? source.about?.keg.kegId ?? (await firstKeg(source, wishes)) };
    const tally = new ImportTally(path);
    await lookThrough(source, named, tally, new Progress(io, source.size, 'looked through'), isStopped);
    const isGood = tally.problems === 0 || flags.has('--skip-bad');
    if (isGood && tally.readings + tally.events + tally.fills === 0)
      throw new FolderError(`${path} holds no reading and no entry that can be used; nothing was imported`);
    if (isGood && !flags.has('--check')) {
      const target = await openTarget(settings);
      try {
        await bringIn(source, named, target, tally, new Progress(io, source.size, 'imported'), isStopped);
      } finally {
        await target.close();
      }
    }
    for (const line of tally.remarks()) io.err(`quietkeg import: ${line}\n`);
    if (!isGood) io.err('quietkeg import: nothing was imported; correct these lines, or say --skip-bad\n');
    else io.out(flags.has('--json') ? `${JSON.stringify(tally.outcome())}\n` : `${tally.words()}\n`);
    return isGood && !tally.wasCut && tally.refused === 0 ? EXIT.done : EXIT.failed;
  } catch (error) {
    return told(error, io);
  }
}

function told(error: unknown, io: CommandIo): number {
  if (error instanceof ConfigError) {
    for (const line of error.message.split('\n')) io.err(`quietkeg import: ${line}\n`);
    return EXIT.config;
  }
  const isOfSystem = error instanceof Error && 'code' in error;
  if (!(error instanceof FolderError || error instanceof StartError || isOfSystem)) throw error;
  io.err(`quietkeg import: ${(error as Error).message}\n`);
  return EXIT.failed;
}

function formatOf(text: string | undefined): FileForm | null {
  if (text === undefined) return null;
  if (text !== 'ndjson' && text !== 'csv') throw new UsageError(`--format ${text}: give ndjson or csv`);
  return text;
}

function kegOf(text: string | undefined): string | null {
  if (text === undefined) return null;
  const keg = KegId.safeParse(text);
  if (!keg.success) throw new UsageError(`--keg ${text}: ${keg.error.issues[0]?.message ?? 'this is no id'}`);
  return keg.data;
}

function csvOf(flags: ReadonlyMap<string, string>): CsvWishes {
  const separator = flags.get('--separator') ?? null;
  if (separator !== null && separator.length !== 1 && separator !== '\\t')
    throw new UsageError(`--separator ${separator}: give one character, or \\t`);
  const columns = flags.get('--columns');
  const offset = flags.get('--utc-offset');
  return {
    time: flags.get('--time') ?? null,
    columns: columns === undefined ? [] : parseColumns(columns),
    separator: separator === '\\t' ? '\t' : separator,
    decimalComma: flags.has('--decimal-comma'),
    utcOffsetMs: offset === undefined ? null : parseOffset(offset),
  };
}

/** Lines may leave the keg out; then whichever of them names one first says which it is. */
async function firstKeg(source: ImportSource, wishes: SourceWishes): Promise<string | null> {
  for await (const items of sourceItems(source, wishes, () => undefined)) {
    for (const item of items) {
      if (item.kind === 'event') return item.event.keg;
      if (item.kind === 'reading') return item.reading.keg;
    }
  }
  return null;
}
