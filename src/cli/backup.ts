/** `quietkeg backup`: all that is kept, as one file that has been tried out. */
import { makeBackup } from '../backup.ts';
import { StartError } from '../compose.ts';
import { ConfigError } from '../config/load.ts';
import { nowMs } from '../offline.ts';
import { describeFlags, type Flag, parseArguments, UsageError } from './arguments.ts';
import { type CommandIo, EXIT } from './command.ts';
import { KEPT_FLAGS, keptSettings } from './kept-settings.ts';

const FLAGS: readonly Flag[] = [
  { flag: '--prefix', value: 'TEXT', description: 'How the file is called in a folder; usually quietkeg.' },
  { flag: '--json', value: null, description: 'Tell the outcome as one line of JSON.' },
  ...KEPT_FLAGS,
];

const HELP = `Usage: quietkeg backup FILE|FOLDER [options]

Saves kegs, entries, alerts, settings made on the pages, readings and what waits to be stored into one file (.tar.gz with
checksums). The service may run meanwhile. The file is restored into a folder of its own and looked through before it is
called good. A FOLDER gets a file named after the moment. The file holds the passwords of channels: keep it where only you
can read it. Readings in InfluxDB are not in it; the command says so.

${describeFlags(FLAGS)}

Exit: 0 made and tried out, 1 not, 2 wrong usage, 78 bad settings.
`;

export async function backupCommand(args: readonly string[], io: CommandIo): Promise<number> {
  const { flags, rest } = parseArguments(args, FLAGS);
  if (flags.has('--help')) {
    io.out(HELP);
    return EXIT.done;
  }
  const [target, ...more] = rest;
  if (target === undefined || more.length > 0)
    throw new UsageError('give one file or folder: quietkeg backup FILE|FOLDER. See --help.');
  const prefix = flags.get('--prefix') ?? 'quietkeg';
  if (!/^[a-z][a-z0-9-]{0,40}$/.test(prefix)) throw new UsageError(`--prefix ${prefix}: give a word of a-z, 0-9 and -`);
  try {
    const { data, influx } = keptSettings(flags, io);
    const made = await makeBackup({
      data,
      target,
      version: io.version,
      influx: influx.url !== null,
      nowMs: nowMs(),
      prefix,
    });
    if (flags.has('--json')) io.out(`${JSON.stringify(made)}\n`);
    else {
      io.out(`${made.file}: ${made.files} files, ${(made.bytes / 1e6).toFixed(1)} MB, restored once and found whole\n`);
      for (const words of made.without) io.out(`Not in it: ${words}\n`);
    }
    return EXIT.done;
  } catch (error) {
    return told('backup', error, io);
  }
}

/** What a person can do something about is said in a line; anything else is our mistake. */
export function told(command: string, error: unknown, io: CommandIo): number {
  if (error instanceof ConfigError) {
    for (const line of error.problems) io.err(`quietkeg ${command}: ${line}\n`);
    return EXIT.config;
  }
  const isOfSystem = error instanceof Error && 'code' in error;
  const isExpected = error instanceof StartError || (error instanceof Error && error.name === 'ArchiveError');
  if (!isExpected && !isOfSystem) throw error;
  io.err(`quietkeg ${command}: ${error.message}\n`);
  return EXIT.failed;
}
