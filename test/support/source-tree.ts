import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, posix } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

export interface Import {
  /** The file as a path from the project's root, or the name of a package. */
  readonly target: string;
  readonly isFile: boolean;
  readonly typesOnly: boolean;
}

export interface SourceFile {
  /** Path from the project's root, such as src/app/feed.ts. */
  readonly path: string;
  readonly lines: number;
  /** The text without its comments. */
  readonly code: string;
  readonly imports: readonly Import[];
}

/** All TypeScript files below folders of the project; a folder that does not exist holds none. */
export function sourceFiles(...folders: readonly string[]): SourceFile[] {
  return folders.flatMap((folder) =>
    listed(folder)
      .filter((path) => /\.tsx?$/.test(path) && !path.endsWith('.d.ts') && !/(^|\/)(node_modules|dist)\//.test(path))
      .map(readSource),
  );
}

function listed(folder: string): string[] {
  try {
    const names = readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' });
    return names.map((name) => posix.join(folder, name.replaceAll('\\', '/'))).sort();
  } catch {
    return [];
  }
}

function readSource(path: string): SourceFile {
  const text = readFileSync(join(ROOT, path), 'utf8');
  const code = withoutComments(text);
  return { path, lines: text.split('\n').length - 1, code, imports: importsOf(path, code) };
}

/** Comments become blanks; strings stay, so that an address such as mqtt://host is not taken for a comment. */
export function withoutComments(text: string): string {
  return text.replace(
    /('(?:\\.|[^'\\\n])*'|"(?:\\.|[^"\\\n])*"|`(?:\\.|[^`\\])*`)|\/\*[\s\S]*?\*\/|(^|[^:\\])\/\/[^\n]*/gm,
    (_all, string: string | undefined, before: string | undefined) => string ?? before ?? ' ',
  );
}

/** Everything that a file imports or exports from elsewhere, dynamic imports included. */
export function importsOf(path: string, code: string): Import[] {
  const found: Import[] = [];
  const add = (specifier: string, typesOnly: boolean) => {
    const isFile = specifier.startsWith('.');
    found.push({ target: isFile ? posix.join(dirname(path), specifier) : specifier, isFile, typesOnly });
  };
  for (const [, type, names = '', specifier = ''] of code.matchAll(
    /^\s*(?:import|export)\s+(type\s+)?([\w*{}\s,$]*?)\s*from\s*['"]([^'"]+)['"]/gm,
  )) {
    add(specifier, type !== undefined || allAreTypes(names));
  }
  for (const [, specifier = ''] of code.matchAll(/(?:^\s*import\s*|\bimport\s*\(\s*)['"]([^'"]+)['"]/gm)) {
    add(specifier, false);
  }
  return found;
}

/** `{ type A, type B }` imports nothing at run time. */
function allAreTypes(names: string): boolean {
  const inner = /^\{([^}]*)\}$/.exec(names.trim())?.[1];
  const each = inner
    ?.split(',')
    .map((name) => name.trim())
    .filter((name) => name !== '');
  return each !== undefined && each.length > 0 && each.every((name) => name.startsWith('type '));
}
