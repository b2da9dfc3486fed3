/** `quietkeg check-config`: reads all settings as `serve` would and tells every mistake, without starting anything. */
import { ConfigError, loadSettings } from '../config/load.ts';
import { SETTING_NAMES, type Settings } from '../config/schema.ts';
import { settingTroubles } from '../offline.ts';
import { parseArguments, UsageError } from './arguments.ts';
import { type CommandIo, EXIT } from './command.ts';
import { describeServeFlags, SERVE_FLAGS } from './serve.ts';

export async function checkConfigCommand(args: readonly string[], io: CommandIo): Promise<number> {
  const { flags, rest } = parseArguments(args, SERVE_FLAGS);
  if (flags.has('--help')) {
    io.out(`Usage: quietkeg check-config [options]\n\nTakes the options of serve:\n${describeServeFlags()}\n\n`);
    io.out('Exit: 0 all is well, 78 something is not.\n');
    return EXIT.done;
  }
  if (rest[0] !== undefined) throw new UsageError(`${rest[0]} is not understood; see --help`);
  try {
    const file = flags.get('--config') ?? null;
    const settings = loadSettings({ file, environment: io.environment, flags, demo: flags.has('--demo') });
    const troubles = settingTroubles(settings);
    if (troubles.length > 0) throw new ConfigError(troubles);
    io.out(`${settingLines(settings).join('\n')}\nAll settings are understood.\n`);
    return EXIT.done;
  } catch (error) {
    if (!(error instanceof ConfigError)) throw error;
    for (const line of error.problems) io.err(`quietkeg check-config: ${line}\n`);
    return EXIT.config;
  }
}

/** Every setting as it holds now. Logins in addresses are not shown. */
function settingLines(settings: Settings): string[] {
  return SETTING_NAMES.map(({ path }) => {
    const value = path.reduce<unknown>((at, name) => (at as Record<string, unknown> | null)?.[name], settings);
    return `${path.join('.')} = ${value === null ? 'not set' : withoutLogin(String(value))}`;
  });
}

function withoutLogin(text: string): string {
  const url = text.includes('://') ? URL.parse(text) : null;
  if (url === null) return text;
  const login = url.username === '' && url.password === '' ? '' : '***@';
  // The path of a heartbeat's address is as good as a password.
  const behind = url.pathname.length > 1 || url.search !== '' ? '/***' : '';
  return `${url.protocol}//${login}${url.host}${behind}`;
}
