import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse as parseToml, TomlError } from 'smol-toml';
import { SETTING_NAMES, type SettingName, Settings } from './schema.ts';
import { nearest } from './suggest.ts';

/** Settings that cannot be used: every mistake, each in a line that says where it stands and what to do. */
export class ConfigError extends Error {
  readonly problems: readonly string[];

  constructor(problems: readonly string[]) {
    super(problems.join('\n'));
    this.name = 'ConfigError';
    this.problems = problems;
  }
}

export interface SettingSources {
  /** Path of the TOML file, or null. */
  readonly file: string | null;
  readonly environment: Readonly<Record<string, string | undefined>>;
  /** Settings given on the command line, by flag. */
  readonly flags: ReadonlyMap<string, string>;
  readonly demo: boolean;
}

type Tree = { [name: string]: unknown };

/** Variables of this prefix steer the tests, not the service. */
const TEST_PREFIX = 'QUIETKEG_TEST_';

/** Defaults < file < environment < flags. Throws `ConfigError` with all mistakes at once. */
export function loadSettings(sources: SettingSources): Settings {
  const problems: string[] = [];
  const sections = { http: {}, mqtt: {}, influx: {}, keep: {}, backup: {}, outgoing: {}, heartbeat: {} };
  const tree: Tree = { ...sections, ...readFile(sources.file, problems) };
  /** Where a value came from, to name it in a message. */
  const origin = new Map<string, string>();
  const set = (setting: SettingName, text: string, from: string) => {
    origin.set(setting.path.join('.'), from);
    put(tree, setting.path, fromText(setting, text));
  };
  for (const [name, text] of Object.entries(sources.environment)) {
    if (!name.startsWith('QUIETKEG_') || name.startsWith(TEST_PREFIX) || text === undefined) continue;
    const setting = SETTING_NAMES.find(({ environment }) => environment === name);
    if (setting !== undefined) set(setting, text, name);
    else
      problems.push(
        unknownName(
          name,
          SETTING_NAMES.map(({ environment }) => environment),
        ),
      );
  }
  for (const [flag, text] of sources.flags) {
    const setting = SETTING_NAMES.find((known) => known.flag === flag);
    if (setting !== undefined) set(setting, text, flag);
  }
  tree.data ??= defaultDataFolder(sources);
  const parsed = Settings.safeParse(tree);
  if (!parsed.success) {
    for (const issue of parsed.error.issues) {
      if (issue.code === 'unrecognized_keys') {
        const section = issue.path.map(String);
        const known = SETTING_NAMES.filter(
          ({ path }) => path.length > section.length && section.every((name, i) => path[i] === name),
        );
        for (const key of issue.keys) {
          const where = [...section, key].join('.');
          problems.push(
            `${sources.file}: ${unknownName(
              where,
              known.map(({ path }) => path.join('.')),
            )}`,
          );
        }
        continue;
      }
      const path = issue.path.join('.');
      problems.push(`${origin.get(path) ?? `${sources.file ?? 'settings'}: ${path}`}: ${issue.message}`);
    }
  }
  if (problems.length > 0 || !parsed.success) throw new ConfigError(problems);
  for (const section of Object.values(parsed.data)) Object.freeze(section);
  return Object.freeze(parsed.data);
}

function readFile(path: string | null, problems: string[]): Tree {
  if (path === null) return {};
  try {
    return parseToml(readFileSync(path, 'utf8'));
  } catch (error) {
    const what =
      error instanceof TomlError ? `line ${error.line}: ${error.message.split('\n')[0]}` : (error as Error).message;
    problems.push(`${path}: ${what}`);
    return {};
  }
}

function unknownName(name: string, known: readonly string[]): string {
  const near = nearest(name, known);
  return `${name} is no setting${near === null ? `; known are ${known.join(', ')}` : `; did you mean ${near}?`}`;
}

function put(tree: Tree, path: readonly string[], value: unknown): void {
  const [first, ...rest] = path;
  if (first === undefined) return;
  if (rest.length === 0) {
    tree[first] = value;
    return;
  }
  const inner = tree[first];
  if (typeof inner === 'object' && inner !== null) put(inner as Tree, rest, value);
}

/** A text as its setting's kind; what cannot be read stays text, so that the schema says what was expected. */
function fromText({ kind }: SettingName, text: string): unknown {
  if (kind === 'number') return /^-?\d+(\.\d+)?$/.test(text.trim()) ? Number(text) : text;
  if (kind === 'switch') return { true: true, yes: true, '1': true, false: false, no: false, '0': false }[text] ?? text;
  return text;
}

/** Beside the user's other data; the demo never mixes with real kegs. */
function defaultDataFolder({ environment, demo }: SettingSources): string {
  const base = environment.XDG_DATA_HOME ?? (environment.HOME ? join(environment.HOME, '.local', 'share') : '.');
  return join(base, demo ? 'quietkeg-demo' : 'quietkeg');
}
