import { expect, test } from 'vitest';
import { importsOf, withoutComments } from './source-tree.ts';

test('finds every way to import, and tells types from values', () => {
  const code = `import a from 'one';
import type { B } from '../b.ts';
import { type C, type D } from './c.ts';
import {
  type E,
  f,
} from './e.ts';
export * from './g.ts';
import 'side-effect';
const h = await import('./h.ts');`;
  expect(importsOf('src/x/y.ts', code)).toEqual([
    { target: 'one', isFile: false, typesOnly: false },
    { target: 'src/b.ts', isFile: true, typesOnly: true },
    { target: 'src/x/c.ts', isFile: true, typesOnly: true },
    { target: 'src/x/e.ts', isFile: true, typesOnly: false },
    { target: 'src/x/g.ts', isFile: true, typesOnly: false },
    { target: 'side-effect', isFile: false, typesOnly: false },
    { target: 'src/x/h.ts', isFile: true, typesOnly: false },
  ]);
});

test('takes comments away and leaves strings alone', () => {
  expect(withoutComments(`const a = 'mqtt://host'; // Date.now()\n/* setTimeout */ b`)).toBe(
    `const a = 'mqtt://host'; \n  b`,
  );
});
