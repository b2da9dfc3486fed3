import { nearest } from '../config/suggest.ts';
import { UsageError } from './arguments.ts';
import { backupCommand } from './backup.ts';
import { calculateCommand } from './calculate.ts';
import { chartCommand } from './chart.ts';
import { checkConfigCommand } from './check-config.ts';
import { type Command, type CommandIo, EXIT } from './command.ts';
import { evaluateCommand } from './evaluate.ts';
import { exportCommand } from './export.ts';
import { importCommand } from './import.ts';
import { mqttUserCommand } from './mqtt-user.ts';
import { passphraseCommand } from './passphrase.ts';
import { replayCommand } from './replay.ts';
import { restoreCommand } from './restore.ts';
import { serveCommand } from './serve.ts';

const COMMANDS: readonly Command[] = [
  serveCommand,
  { name: 'calculate', summary: 'Answer one question, or one a line of standard input.', run: calculateCommand },
  { name: 'chart', summary: 'Print the carbonation chart for your altitude and units.', run: chartCommand },
  {
    name: 'replay',
    summary: 'Tell what was known of a keg, hour by hour, from its recorded readings.',
    run: replayCommand,
  },
  { name: 'export', summary: 'Write all that is known of a keg into a folder.', run: exportCommand },
  { name: 'import', summary: 'Take in the past of kegs from a folder or a file.', run: importCommand },
  {
    name: 'backup',
    summary: 'Save all that is kept into one file, while the service runs or not.',
    run: backupCommand,
  },
  { name: 'restore', summary: 'Put a backup into a data folder.', run: restoreCommand },
  { name: 'check-config', summary: 'Read all settings and tell every mistake.', run: checkConfigCommand },
  { name: 'passphrase', summary: 'Set who may come in to the dashboard, and end log-ins.', run: passphraseCommand },
  { name: 'mqtt-user', summary: 'Let probes elsewhere in to the embedded broker, by name.', run: mqttUserCommand },
  { name: 'evaluate', summary: 'Measure the estimate on simulated kegs.', run: evaluateCommand },
];

/** Runs one command line and resolves to the exit code. */
export async function run(args: readonly string[], io: CommandIo): Promise<number> {
  const [name = '--help', ...rest] = args;
  if (name === '--help' || name === 'help') {
    io.out(help());
    return EXIT.done;
  }
  const command = COMMANDS.find((candidate) => candidate.name === name);
  if (command === undefined) {
    const near = nearest(
      name,
      COMMANDS.map((candidate) => candidate.name),
    );
    io.err(`quietkeg: ${name} is no command${near === null ? '.' : `; did you mean ${near}?`} See quietkeg --help.\n`);
    return EXIT.usage;
  }
  try {
    return await command.run(rest, io);
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    io.err(`quietkeg ${name}: ${error.message}\n`);
    return EXIT.usage;
  }
}

function help(): string {
  const width = Math.max(...COMMANDS.map((command) => command.name.length));
  const lines = COMMANDS.map((command) => `  ${command.name.padEnd(width)}  ${command.summary}`);
  return `Quietkeg watches the kegs in a fridge.\n\nquietkeg COMMAND [options], each with --help:\n${lines.join('\n')}\n`;
}
