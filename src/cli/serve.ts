import { type Program, StartError, startProgram } from '../compose.ts';
import { ConfigError, loadSettings } from '../config/load.ts';
import { SETTING_NAMES, type Settings } from '../config/schema.ts';
import { describeFlags, type Flag, parseArguments } from './arguments.ts';
import { type Command, type CommandIo, EXIT } from './command.ts';

export const SERVE_FLAGS: readonly Flag[] = [
  { flag: '--demo', value: null, description: 'Add three simulated kegs, in a data folder of their own.' },
  { flag: '--config', value: 'FILE', description: 'Read settings from a TOML file.' },
  ...SETTING_NAMES.map(({ flag, kind, description, fallback }) => ({
    flag,
    value: { number: 'NUMBER', switch: 'true|false', text: 'TEXT' }[kind],
    description: fallback === null ? description : `${description} Usually ${fallback}.`,
  })),
  { flag: '--help', value: null, description: 'Show this.' },
];

export const describeServeFlags = (): string => describeFlags(SERVE_FLAGS);

export const serveCommand: Command = {
  name: 'serve',
  summary: 'Run the service: broker, store and dashboard.',
  async run(args, io) {
    const { flags, rest } = parseArguments(args, SERVE_FLAGS);
    if (flags.has('--help')) {
      io.out(`quietkeg serve [options]\n\n${describeServeFlags()}\n\n`);
      io.out('Each option has a name in the environment too: --http-port is QUIETKEG_HTTP_PORT.\n');
      return EXIT.done;
    }
    if (rest[0] !== undefined) {
      io.err(`quietkeg serve: ${rest[0]} is not understood; see --help\n`);
      return EXIT.usage;
    }
    try {
      return await serve(flags, io);
    } catch (error) {
      if (!(error instanceof ConfigError || error instanceof StartError)) throw error;
      for (const line of error.message.split('\n')) io.err(`quietkeg: ${line}\n`);
      return EXIT.config;
    }
  },
};

async function serve(flags: ReadonlyMap<string, string>, io: CommandIo): Promise<number> {
  const demo = flags.has('--demo');
  const file = flags.get('--config') ?? null;
  const readSettings = (): Settings => loadSettings({ file, environment: io.environment, flags, demo });
  const settings = readSettings();
  const reloading = io.onReload === undefined ? {} : { onReload: io.onReload, readSettings };
  const program: Program = await startProgram({ settings, demo, version: io.version, writeLog: io.err, ...reloading });
  io.out(`Quietkeg is at ${program.address}\n`);
  if (program.claimToken !== null)
    io.out(
      `No passphrase is set yet. Open Quietkeg in a browser and set one; it asks for this token: ${program.claimToken}\n`,
    );
  if (settings.mqtt.url === null)
    io.out(`Probes publish to mqtt://${settings.mqtt.host}:${program.mqttPort ?? settings.mqtt.port}\n`);
  io.out(`Everything is kept in ${settings.data}. Ctrl-C stops.\n`);
  await io.stopAsked;
  if (!(await program.stop())) io.err('quietkeg: stopped without waiting any longer; what was acknowledged is kept\n');
  return EXIT.done;
}
