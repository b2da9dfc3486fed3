/** Settings of commands that work on a data folder beside the service. */
import { loadSettings } from '../config/load.ts';
import { SETTING_NAMES, type Settings } from '../config/schema.ts';
import type { Flag } from './arguments.ts';
import type { CommandIo } from './command.ts';

const NAMES: readonly string[] = ['--data', '--influx-url'];

export const KEPT_FLAGS: readonly Flag[] = [
  { flag: '--config', value: 'FILE', description: 'Read settings from a TOML file, as the service does.' },
  ...SETTING_NAMES.filter(({ flag }) => NAMES.includes(flag)).map(({ flag, description }) => {
    return { flag, value: 'TEXT', description };
  }),
  { flag: '--demo', value: null, description: 'Work on the demo’s data folder.' },
  { flag: '--help', value: null, description: 'Show this.' },
];

/** Throws `ConfigError`. */
export function keptSettings(flags: ReadonlyMap<string, string>, io: Pick<CommandIo, 'environment'>): Settings {
  const file = flags.get('--config') ?? null;
  return loadSettings({ file, environment: io.environment, flags, demo: flags.has('--demo') });
}
