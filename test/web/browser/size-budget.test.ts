import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { beforeAll, expect, test } from 'vitest';
import { buildDashboardIfStale } from '../../../web/build.ts';

/** What a phone in a cellar has to fetch. Sizes are those of gzip at its default level. */
const KB = 1000;
let dist: string;

beforeAll(async () => {
  dist = await buildDashboardIfStale();
});

const assets = (): string[] => readdirSync(join(dist, 'assets'));
const gzipped = (names: readonly string[]): number =>
  names.reduce((sum, name) => sum + gzipSync(readFileSync(join(dist, 'assets', name))).length, 0);
const page = (): string => readFileSync(join(dist, 'index.html'), 'utf8');

test('the first view’s JavaScript fits into 45 kB', () => {
  const first = assets().filter((name) => name.endsWith('.js') && page().includes(name));
  expect(first.length).toBeGreaterThan(0);
  expect(gzipped(first)).toBeLessThanOrEqual(45 * KB);
});

test('the code of the charts fits into 32 kB, and is not part of the first view', () => {
  const charts = assets().filter((name) => /^plot-.*\.js$/.test(name));
  expect(charts).toHaveLength(1);
  expect(page()).not.toContain(charts[0]);
  expect(gzipped(charts)).toBeLessThanOrEqual(32 * KB);
});

test('all styles fit into 12 kB', () => {
  expect(gzipped(assets().filter((name) => name.endsWith('.css')))).toBeLessThanOrEqual(12 * KB);
});

test('the page needs nothing inline and nothing from elsewhere', () => {
  expect(page()).not.toMatch(/<script(?![^>]*\bsrc=)/);
  expect(page()).not.toMatch(/<style|\sstyle=|https?:\/\//);
});
