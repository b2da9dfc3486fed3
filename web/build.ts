import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const DIST = join(ROOT, 'web/dist');
/** What the built page depends on. A folder that an installed copy left out does not count. */
const SOURCES = ['web', 'src/physics', 'src/contract', 'package-lock.json'];

/**
 * Builds the dashboard if `web/dist` is missing or older than a source of it. Returns the folder to serve.
 * Throws with the bundler's message if the sources do not build.
 */
export async function buildDashboardIfStale(): Promise<string> {
  if (isStale()) await buildDashboard();
  return DIST;
}

/** Builds the dashboard into `web/dist`, whatever is there. */
export async function buildDashboard(): Promise<void> {
  // Loaded only when needed: a copy that was installed with the dashboard built does not carry the bundler.
  const { build } = await import('vite');
  // The bundler builds for development where this says so, as it does in test runs: 4 kB more for every reader.
  const before = process.env.NODE_ENV;
  process.env.NODE_ENV = 'production';
  try {
    await build({ configFile: join(ROOT, 'web/vite.config.ts'), logLevel: 'warn' });
  } finally {
    if (before === undefined) delete process.env.NODE_ENV;
    else process.env.NODE_ENV = before;
  }
}

function isStale(): boolean {
  const builtAtMs = modifiedAtMs(join(DIST, 'index.html'));
  if (builtAtMs === null) return true;
  return SOURCES.some((source) => newestAtMs(join(ROOT, source)) > builtAtMs);
}

function newestAtMs(path: string): number {
  if (path === DIST) return 0;
  const stat = statSync(path, { throwIfNoEntry: false });
  if (stat === undefined) return 0;
  if (!stat.isDirectory()) return stat.mtimeMs;
  return Math.max(0, ...readdirSync(path).map((name) => newestAtMs(join(path, name))));
}

function modifiedAtMs(path: string): number | null {
  return statSync(path, { throwIfNoEntry: false })?.mtimeMs ?? null;
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  await (process.argv.includes('--if-stale') ? buildDashboardIfStale() : buildDashboard());
}
