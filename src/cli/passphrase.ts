/** `quietkeg passphrase`: sets the passphrases of the dashboard, beside the running service or without it. */
import { checkPassphrase, preparePassphrase, ROLES, type Role } from '../app/access-checks.ts';
import { StartError } from '../compose.ts';
import { ConfigError } from '../config/load.ts';
import { openAccess } from '../offline-access.ts';
import { describeFlags, type Flag, parseArguments, UsageError } from './arguments.ts';
import { type CommandIo, EXIT } from './command.ts';
import { KEPT_FLAGS, keptSettings } from './kept-settings.ts';

const FLAGS: readonly Flag[] = [
  { flag: '--role', value: ROLES.join('|'), description: 'Whose it is; usually the owner’s.' },
  { flag: '--remove', value: null, description: 'Take it away. Without the owner’s, only this machine may come in.' },
  { flag: '--end-sessions', value: null, description: 'Only put everybody out: log-ins, tablets, programs.' },
  ...KEPT_FLAGS,
];

const HELP = `quietkeg passphrase [options]

Asks for a new passphrase twice, or takes the first line of standard input. Once the owner has one,
everybody must log in, and Quietkeg may listen beyond this machine (--http-host). Changing it puts
out whoever came in by it; changing the owner's puts out everybody, tablets and programs too.
  owner      does everything
  operator   looks, and enters what is done with the kegs
  viewer     looks only
Works while the service runs and while it is stopped.

${describeFlags(FLAGS)}

Exit: 0 done, 1 failed, 2 wrong usage, 78 bad configuration.
`;

/** Runs the command; resolves to its exit code. */
export async function passphraseCommand(args: readonly string[], io: CommandIo): Promise<number> {
  const { flags, rest } = parseArguments(args, FLAGS);
  if (flags.has('--help')) {
    io.out(HELP);
    return EXIT.done;
  }
  if (rest[0] !== undefined)
    throw new UsageError('a passphrase is not given on the command line, where others can read it; it is asked for');
  const role = roleOf(flags.get('--role') ?? 'owner');
  try {
    const { data } = keptSettings(flags, io);
    if (flags.has('--end-sessions') || flags.has('--remove')) {
      const desk = openAccess(data);
      if (flags.has('--remove')) desk.store.removePassphrase(role);
      desk.store.removeSessionsOf(role === 'owner' ? null : role);
      desk.close();
      io.out(flags.has('--remove') ? `The ${role} has no passphrase any more.\n` : 'Everybody has to log in anew.\n');
      return EXIT.done;
    }
    const passphrase = await asked(io);
    const fault = checkPassphrase(passphrase);
    if (fault !== null) throw new Refusal(`it ${fault}; nothing was changed`);
    const desk = openAccess(data);
    try {
      desk.store.putPassphrase(role, await desk.secrets.hash(preparePassphrase(passphrase)));
      desk.store.removeSessionsOf(role === 'owner' ? null : role);
      if (role !== 'owner' && !desk.store.passphrases().has('owner'))
        io.err('quietkeg passphrase: the owner has none yet, so nobody needs to log in; set that one too\n');
    } finally {
      desk.close();
    }
    io.out(`The passphrase of the ${role} is set.\n`);
    return EXIT.done;
  } catch (error) {
    if (!(error instanceof Refusal || error instanceof StartError || error instanceof ConfigError)) throw error;
    for (const line of error.message.split('\n')) io.err(`quietkeg passphrase: ${line}\n`);
    return error instanceof ConfigError ? EXIT.config : EXIT.failed;
  }
}

class Refusal extends Error {
  override readonly name = 'Refusal';
}

function roleOf(text: string): Role {
  const role = ROLES.find((one) => one === text);
  if (role === undefined) throw new UsageError(`--role ${text}: give one of ${ROLES.join(', ')}`);
  return role;
}

async function asked({ askHidden, stdin }: CommandIo): Promise<string> {
  if (askHidden === undefined) return firstLine(stdin);
  const first = await askHidden('New passphrase: ');
  const again = first === null ? null : await askHidden('Once more: ');
  if (first === null || again === null) throw new Refusal('nothing was changed');
  if (first !== again) throw new Refusal('the two are not the same; nothing was changed');
  return first;
}

/** The first line of standard input. */
export async function firstLine(stdin: CommandIo['stdin']): Promise<string> {
  let text = '';
  for await (const chunk of stdin) {
    text += typeof chunk === 'string' ? chunk : Buffer.from(chunk).toString('utf8');
    if (text.includes('\n') || text.length > 2000) break;
  }
  return (text.split('\n', 1)[0] ?? '').replace(/\r$/, '');
}
