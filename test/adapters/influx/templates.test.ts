/**
 * Aim: nothing from outside becomes part of a query's text. Method: every text that holds a word of the query language is
 * taken from the sources; what is put into it may only be one of our own names, or the number of a placeholder.
 */
import { expect, test } from 'vitest';
import { sourceFiles } from '../../support/source-tree.ts';

const QUERY_WORDS = /\b(SELECT|DELETE|DROP|CREATE|SHOW|ALTER|FROM|WHERE|GROUP BY)\b/;
/**
 * Constants of ours in capitals; `i`, which counts placeholders; names that only constants of ours are given to; the name of
 * the database, which stands in the owner's settings and is quoted; and a number of ours.
 */
const HARMLESS = /^(?:[A-Z][A-Z_]*|i|what|measurement|edge|field|counted|quoted|spanMs)$/;

const templates = sourceFiles('src/adapters/influx').flatMap(({ path, code }) =>
  [...code.matchAll(/`(?:\\.|[^`\\])*`/g)]
    .map(([text]) => ({ path, text }))
    .filter(({ text }) => QUERY_WORDS.test(text)),
);

test('queries are templates with placeholders, into which only our own names are put', () => {
  expect(templates.length).toBeGreaterThan(10);
  const foreign = templates.flatMap(({ path, text }) =>
    [...text.matchAll(/\$\{([^}]*)\}/g)]
      .filter(([, inner = '']) => !HARMLESS.test(inner))
      .map(([all]) => `${path}: ${all} in ${text}`),
  );
  expect(foreign).toEqual([]);
});

test('no query is put together elsewhere', () => {
  const others = sourceFiles('src').filter(({ path, code }) => {
    return !path.startsWith('src/adapters/influx/') && /['"`](SELECT|SHOW|DROP) [A-Z*]/.test(code);
  });
  expect(others.map(({ path }) => path)).toEqual([]);
});
