/**
 * Aim: no text from outside can keep a regular expression busy for long. Method: every literal of the sources is taken out
 * of the syntax tree and judged by an analyser of its own (recheck), which finds polynomial and exponential backtracking.
 */
import { readFileSync } from 'node:fs';
import { stripTypeScriptTypes } from 'node:module';
import { join } from 'node:path';
import { checkSync } from 'recheck';
import { parseAst } from 'vite';
import { describe, expect, test } from 'vitest';
import { sourceFiles } from './support/source-tree.ts';

const ROOT = join(import.meta.dirname, '..');

interface Found {
  readonly path: string;
  readonly source: string;
  readonly flags: string;
}

function literalsOf(path: string): Found[] {
  const tree: unknown = parseAst(stripTypeScriptTypes(readFileSync(join(ROOT, path), 'utf8')));
  const found: Found[] = [];
  const visit = (node: unknown): void => {
    if (Array.isArray(node)) node.forEach(visit);
    if (typeof node !== 'object' || node === null) return;
    const { regex } = node as { regex?: { pattern: string; flags: string } };
    if (regex !== undefined && regex !== null) found.push({ path, source: regex.pattern, flags: regex.flags });
    Object.values(node).forEach(visit);
  };
  visit(tree);
  return found;
}

const files = sourceFiles('src').map(({ path }) => path);
const all = files.flatMap(literalsOf);

/** The same verdict each time, however busy the machine is. */
const PATIENT = {
  randomSeed: 1,
  timeout: 60_000,
  incubationTimeout: 60_000,
  attackTimeout: 60_000,
  recallTimeout: 60_000,
};

/** Texts that nobody outside chooses, or that are bounded before they are looked at: [expression, why]. */
const LET_PASS = new Map([
  [String.raw`/\B(?=(\d{3})+$)/g`, 'groups the digits of a number that we wrote'],
  [String.raw`/(?<==\s*[a-z0-9-]+(?::[^,:]+)?),/`, 'splits an option that the owner types'],
  [String.raw`/\/+$/`, 'trims an address in the owner’s settings'],
  [
    String.raw`/^[a-zA-Z0-9.!#$%&'*+/=?^_${'`'}{|}~-]{1,64}@[a-zA-Z0-9]([a-zA-Z0-9-]{0,61}[a-zA-Z0-9])?(\.[a-zA-Z0-9]([a-zA-Z0-9-]{0,61}[a-zA-Z0-9])?)*$/`,
    'of the HTML standard; each of its parts is bounded, and only 254 characters are looked at',
  ],
]);

/** Those made at run time, each of text that is escaped or our own. */
const MADE_AT_RUN_TIME = ['src/domain/delivery/words.ts', 'src/http/server.ts'];

describe('regular expressions', () => {
  test('are found', () => {
    expect(all.length).toBeGreaterThan(60);
  });

  test('take time in proportion to their text', () => {
    const distinct = new Map(all.map((one) => [`/${one.source}/${one.flags}`, one]));
    const slow = [...distinct].flatMap(([shown, { source, flags, path }]) => {
      if (LET_PASS.has(shown)) return [];
      const { status } = checkSync(source, flags, PATIENT);
      return status === 'safe' ? [] : [`${path}: ${shown} is ${status}`];
    });
    expect(slow).toEqual([]);
  }, 240_000);

  test('that are let pass are still there', () => {
    const there = new Set(all.map(({ source, flags }) => `/${source}/${flags}`));
    for (const shown of LET_PASS.keys()) expect(there).toContain(shown);
  });

  test('are made at run time in two places alone', () => {
    const making = sourceFiles('src').filter(({ code }) => /\bRegExp\(/.test(code));
    expect(making.map(({ path }) => path)).toEqual(MADE_AT_RUN_TIME);
  });

  test('are judged by something that knows bad ones', () => {
    expect(checkSync('^(a+)+$', '').status).toBe('vulnerable');
    expect(checkSync('\\s+$', '').status).toBe('vulnerable');
  });
});
