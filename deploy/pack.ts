/**
 * What `npm pack` puts into the package besides the sources of its documents: `--before` makes it, `--after` takes it away
 * again. Node refuses to run TypeScript below node_modules, so an installed package holds plain JavaScript; the exact
 * versions of all packages go along, and a list of their licences.
 */
import { execFileSync } from 'node:child_process';
import { copyFileSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const LOCK = join(ROOT, 'package-lock.json');
const SHRINKWRAP = join(ROOT, 'npm-shrinkwrap.json');
const LICENCES = join(ROOT, 'LICENCES.txt');
const DIST = join(ROOT, 'dist');

export interface Licensed {
  readonly name: string;
  readonly version: string;
  /** SPDX expression as the package tells it. */
  readonly licence: string;
  /** The licence's text, or null if the package brings none. */
  readonly text: string | null;
}

/** Every package that runs with the service, by name. Optional ones for other machines are left out. */
export function runtimePackages(root = ROOT): Licensed[] {
  const { packages } = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8')) as {
    packages: Record<string, { dev?: boolean; version?: string }>;
  };
  const paths = Object.entries(packages).flatMap(([path, { dev }]) => (path === '' || dev === true ? [] : path));
  return paths.flatMap((path) => {
    const folder = join(root, path);
    const told = readOrNull(join(folder, 'package.json'));
    if (told === null) return [];
    const { name, version, license, licenses } = JSON.parse(told);
    const licence = typeof license === 'string' ? license : (license?.type ?? licenses?.[0]?.type ?? 'unknown');
    const file = readdirSync(folder).find((one) => /^(licen[cs]e|copying)/i.test(one));
    return { name, version, licence, text: file === undefined ? null : readOrNull(join(folder, file)) };
  });
}

function readOrNull(path: string): string | null {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return null;
  }
}

export function licencesText(packages: readonly Licensed[]): string {
  const sorted = packages.toSorted((a, b) => (`${a.name}@${a.version}` < `${b.name}@${b.version}` ? -1 : 1));
  const list = sorted.map(({ name, version, licence }) => `${name} ${version}: ${licence}`);
  const texts = sorted.flatMap(({ name, text }) => (text === null ? [] : `--- ${name}\n\n${text.trim()}\n`));
  return `Packages that run with Quietkeg, and their licences.\n\n${list.join('\n')}\n\n${texts.join('\n')}`;
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const made = [DIST, SHRINKWRAP, LICENCES];
  for (const path of made) rmSync(path, { recursive: true, force: true });
  if (process.argv.includes('--before')) {
    execFileSync(
      process.execPath,
      [join(ROOT, 'node_modules/typescript/bin/tsc'), '-p', join(ROOT, 'deploy/tsconfig.pack.json')],
      {
        stdio: 'inherit',
      },
    );
    writeFileSync(LICENCES, licencesText(runtimePackages()));
    copyFileSync(LOCK, SHRINKWRAP);
  }
}
