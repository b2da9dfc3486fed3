import { nearest } from '../config/suggest.ts';

/** A command line that cannot be understood; the message says what was wrong. */
export class UsageError extends Error {
  override readonly name = 'UsageError';
}

export interface Flag {
  readonly flag: string;
  /** What follows it, for the help text; null for a switch. */
  readonly value: string | null;
  readonly description: string;
}

export interface ParsedArguments {
  readonly flags: ReadonlyMap<string, string>;
  readonly rest: readonly string[];
}

/** Reads `--flag value`, `--flag=value` and switches. Throws `UsageError` for an unknown or incomplete one. */
export function parseArguments(args: readonly string[], known: readonly Flag[]): ParsedArguments {
  const flags = new Map<string, string>();
  const rest: string[] = [];
  for (let index = 0; index < args.length; index += 1) {
    const argument = args[index] ?? '';
    if (!argument.startsWith('--')) {
      rest.push(argument);
      continue;
    }
    const [name = '', ...assigned] = argument.split('=');
    const flag = known.find((candidate) => candidate.flag === name);
    if (flag === undefined) {
      const near = nearest(
        name,
        known.map((candidate) => candidate.flag),
      );
      throw new UsageError(`${name} is no option${near === null ? '.' : `; did you mean ${near}?`} See --help.`);
    }
    if (flag.value === null) {
      if (assigned.length > 0) throw new UsageError(`${name} takes no value; leave it out, or say ${name} alone`);
      flags.set(name, 'true');
      continue;
    }
    if (assigned.length === 0) index += 1;
    const value = assigned.length > 0 ? assigned.join('=') : args[index];
    if (value === undefined || (assigned.length === 0 && value.startsWith('--')))
      throw new UsageError(`${name} needs a value: ${name} ${flag.value}`);
    flags.set(name, value);
  }
  return { flags, rest };
}

/** Lines of a help text: options in one column, what they do in the next. */
export function describeFlags(flags: readonly Flag[]): string {
  const left = flags.map(({ flag, value }) => (value === null ? flag : `${flag} ${value}`));
  const width = Math.max(...left.map((text) => text.length));
  return flags.map(({ description }, index) => `  ${(left[index] ?? '').padEnd(width)}  ${description}`).join('\n');
}
