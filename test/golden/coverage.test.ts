/** No exported physics function without a golden row or a stated other check, and none without its source. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { CASES } from './cases.ts';
import { OTHERWISE_CHECKED } from './otherwise-checked.ts';

const ROOT = new URL('../../', import.meta.url);
const FOLDER = new URL('src/physics/', ROOT);

interface Exported {
  readonly file: string;
  readonly name: string;
  readonly doc: string;
}

const FILES = readdirSync(FOLDER).filter((file) => file.endsWith('.ts'));
const TEXTS = new Map(FILES.map((file) => [file, readFileSync(new URL(file, FOLDER), 'utf8')]));

/** Declarations with the doc comment right above them. */
function declarations(pattern: RegExp): Exported[] {
  return [...TEXTS].flatMap(([file, text]) =>
    [...text.matchAll(pattern)].map((match) => {
      const before = text.slice(0, match.index).trimEnd();
      const doc = before.endsWith('*/') ? before.slice(before.lastIndexOf('/**')) : '';
      return { file, name: match[1] ?? '', doc };
    }),
  );
}

const functions = declarations(/^export function (\w+)/gm);
const constants = declarations(/^(?:export )?const ([A-Z][A-Z0-9_]+)\b/gm);

test('the functions found in the text are the functions that the modules export', async () => {
  const exported: string[] = [];
  for (const file of FILES) {
    const module = (await import(new URL(file, FOLDER).href)) as Record<string, unknown>;
    for (const [name, value] of Object.entries(module)) {
      const isConstructor = String(value).startsWith('class') || String(value).startsWith('(value) =>');
      if (typeof value === 'function' && !isConstructor) exported.push(name);
    }
  }
  expect(functions.map(({ name }) => name).sort()).toEqual(exported.sort());
});

test('every exported function has a golden table or another check with a reason', () => {
  const covered = new Set([
    ...Object.values(CASES).flatMap((golden) => golden.functions),
    ...Object.keys(OTHERWISE_CHECKED),
  ]);
  expect(functions.map(({ name }) => name).filter((name) => !covered.has(name))).toEqual([]);
});

test('no golden case and no other check names a function that is not there, or names it twice', () => {
  const known = new Set(functions.map(({ name }) => name));
  const golden = new Set(Object.values(CASES).flatMap((entry) => entry.functions));
  expect([...golden].filter((name) => !known.has(name))).toEqual([]);
  expect(Object.keys(OTHERWISE_CHECKED).filter((name) => !known.has(name) || golden.has(name))).toEqual([]);
});

test('every other check is in a test that names the function', () => {
  for (const [name, { file }] of Object.entries(OTHERWISE_CHECKED)) {
    const url = new URL(file, ROOT);
    expect(existsSync(url), `${file} for ${name}`).toBe(true);
    expect(readFileSync(url, 'utf8'), `${name} in ${file}`).toMatch(new RegExp(`\\b${name}\\(`));
  }
});

test('every exported function of a formula names its source', () => {
  const plumbing = ['within', 'finite'];
  const silent = functions.filter(({ name, doc }) => !plumbing.includes(name) && !doc.includes('@source'));
  expect(silent).toEqual([]);
});

test('every constant names its source or its reason', () => {
  const silent = constants.filter(({ doc }) => doc.length < 20 && !doc.includes('@source'));
  expect(silent.map(({ file, name }) => `${file} ${name}`)).toEqual([]);
});

test('physics imports nothing from outside its folder', () => {
  for (const [file, text] of TEXTS) {
    for (const [, target] of text.matchAll(/from '([^']+)'/g)) expect(target, file).toMatch(/^\.\/[a-z0-9-]+\.ts$/);
    expect(text, file).not.toMatch(/\b(require|process|globalThis|Date|Math\.random)\b/);
  }
});
