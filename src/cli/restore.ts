/** `quietkeg restore`: a backup into a data folder, whole or not at all. */
import { nowMs } from '../offline.ts';
import { restoreBackup } from '../restore.ts';
import { describeFlags, type Flag, parseArguments, UsageError } from './arguments.ts';
import { told } from './backup.ts';
import { type CommandIo, EXIT } from './command.ts';

const FLAGS: readonly Flag[] = [
  { flag: '--data', value: 'FOLDER', description: 'Data folder to restore into. It must be named.' },
  {
    flag: '--replace',
    value: null,
    description: 'Put aside what is in the folder (into before-restore-…); else it must be empty.',
  },
  { flag: '--json', value: null, description: 'Tell the outcome as one line of JSON.' },
  { flag: '--help', value: null, description: 'Show this.' },
];

const HELP = `Usage: quietkeg restore FILE --data FOLDER [--replace]

Unpacks a backup of quietkeg backup beside the folder's files, checks every checksum and database, and only then moves it
in. The service must not run on that folder. Archives with links, names that lead elsewhere, damage, or data of a newer
version are refused, and the folder stays as it was. Data of an older version are brought up to date by the next start.

${describeFlags(FLAGS)}

Exit: 0 restored, 1 not, 2 wrong usage.
`;

export async function restoreCommand(args: readonly string[], io: CommandIo): Promise<number> {
  const { flags, rest } = parseArguments(args, FLAGS);
  if (flags.has('--help')) {
    io.out(HELP);
    return EXIT.done;
  }
  const [file, ...more] = rest;
  const data = flags.get('--data');
  if (file === undefined || more.length > 0 || data === undefined)
    throw new UsageError('give a file and a folder: quietkeg restore FILE --data FOLDER. See --help.');
  try {
    const restored = await restoreBackup({ file, data, replace: flags.has('--replace'), nowMs: nowMs() });
    if (flags.has('--json')) io.out(`${JSON.stringify(restored)}\n`);
    else {
      io.out(`${restored.data} is as it was at ${restored.madeAt}: ${restored.files} files\n`);
      if (restored.putAside !== null) io.out(`What was there before is in ${restored.putAside}\n`);
      for (const words of restored.without) io.out(`Not restored: ${words}\n`);
    }
    return EXIT.done;
  } catch (error) {
    return told('restore', error, io);
  }
}
