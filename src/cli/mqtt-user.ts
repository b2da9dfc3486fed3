/** `quietkeg mqtt-user`: users of the embedded broker, beside the running service or without it. */
import { checkFilter } from '../app/access-checks.ts';
import { StartError } from '../compose.ts';
import { ConfigError } from '../config/load.ts';
import { openAccess } from '../offline-access.ts';
import { describeFlags, type Flag, parseArguments, UsageError } from './arguments.ts';
import { type CommandIo, EXIT } from './command.ts';
import { KEPT_FLAGS, keptSettings } from './kept-settings.ts';
import { firstLine } from './passphrase.ts';

const FLAGS: readonly Flag[] = [
  {
    flag: '--publish',
    value: 'FILTERS',
    description: 'Topics it may publish to, with commas between. Usually probes/#.',
  },
  { flag: '--subscribe', value: 'FILTERS', description: 'Topics it may listen to. Usually none.' },
  {
    flag: '--password-stdin',
    value: null,
    description: 'Take the password from standard input; else one is made and shown.',
  },
  { flag: '--remove', value: null, description: 'Take the user away; its connections end within a second.' },
  { flag: '--list', value: null, description: 'Show the users and their topics.' },
  ...KEPT_FLAGS,
];

const HELP = `quietkeg mqtt-user NAME [options]

Makes a user of the embedded broker, or sets its password and topics anew. Without a name a probe
can only come in from this machine itself; from elsewhere it needs a user.

${describeFlags(FLAGS)}

Example: quietkeg mqtt-user garage --publish 'probes/one/#,probes/place/fridge/#'
Exit: 0 done, 1 failed, 2 wrong usage, 78 bad configuration.
`;

/** Shortest password that is taken from elsewhere. */
const PASSWORD_MIN = 12;

/** Runs the command; resolves to its exit code. */
export async function mqttUserCommand(args: readonly string[], io: CommandIo): Promise<number> {
  const { flags, rest } = parseArguments(args, FLAGS);
  if (flags.has('--help')) {
    io.out(HELP);
    return EXIT.done;
  }
  const [name, ...more] = rest;
  if (more.length > 0 || (name === undefined) !== flags.has('--list'))
    throw new UsageError('give one name, or --list. See --help.');
  if (name !== undefined && !/^[\w.-]{1,60}$/.test(name))
    throw new UsageError(`${name}: a name is of letters, digits, _ . and -, at most 60`);
  const publish = filtersOf('--publish', flags.get('--publish') ?? 'probes/#');
  const subscribe = filtersOf('--subscribe', flags.get('--subscribe') ?? '');
  try {
    const { data } = keptSettings(flags, io);
    const given = flags.has('--password-stdin') ? await firstLine(io.stdin) : null;
    if (given !== null && given.length < PASSWORD_MIN)
      throw new UsageError(`the password must have at least ${PASSWORD_MIN} characters`);
    const { mqttUsers, secrets, close } = openAccess(data);
    try {
      if (name === undefined) {
        for (const user of mqttUsers.all())
          io.out(`${user.name}  publishes to ${words(user.publish)}; listens to ${words(user.subscribe)}\n`);
        return EXIT.done;
      }
      if (flags.has('--remove')) {
        if (mqttUsers.remove(name)) io.out(`${name} is no user any more.\n`);
        else io.err(`quietkeg mqtt-user: there is no user ${name}\n`);
        return EXIT.done;
      }
      const password = given ?? secrets.newTypedToken();
      mqttUsers.put({ name, hash: await secrets.hash(password), publish, subscribe });
      io.out(`${name} publishes to ${words(publish)}; listens to ${words(subscribe)}.\n`);
      if (given === null) io.out(`Its password, shown this once: ${password}\n`);
      return EXIT.done;
    } finally {
      close();
    }
  } catch (error) {
    if (!(error instanceof StartError || error instanceof ConfigError)) throw error;
    for (const line of error.message.split('\n')) io.err(`quietkeg mqtt-user: ${line}\n`);
    return error instanceof ConfigError ? EXIT.config : EXIT.failed;
  }
}

function filtersOf(flag: string, text: string): readonly string[] {
  const filters = text
    .split(',')
    .map((one) => one.trim())
    .filter((one) => one !== '');
  for (const filter of filters) {
    const fault = checkFilter(filter);
    if (fault !== null) throw new UsageError(`${flag} ${filter}: a topic filter ${fault}`);
  }
  return filters;
}

const words = (filters: readonly string[]): string => (filters.length === 0 ? 'nothing' : filters.join(', '));
