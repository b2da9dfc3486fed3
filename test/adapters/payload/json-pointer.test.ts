import { expect, test } from 'vitest';
import { readPointer } from '../../../src/adapters/payload/json-pointer.ts';

/** Document and answers of RFC 6901, section 5 (written down from memory). */
const DOCUMENT = {
  foo: ['bar', 'baz'],
  '': 0,
  'a/b': 1,
  'c%d': 2,
  'e^f': 3,
  'g|h': 4,
  'i\\j': 5,
  'k"l': 6,
  ' ': 7,
  'm~n': 8,
};

test.each<[string, unknown]>([
  ['', DOCUMENT],
  ['/foo', ['bar', 'baz']],
  ['/foo/0', 'bar'],
  ['/', 0],
  ['/a~1b', 1],
  ['/c%d', 2],
  ['/e^f', 3],
  ['/g|h', 4],
  ['/i\\j', 5],
  ['/k"l', 6],
  ['/ ', 7],
  ['/m~0n', 8],
])('RFC 6901, section 5: %j', (pointer, value) => {
  expect(readPointer(DOCUMENT, pointer)).toEqual(value);
});

// RFC 6901, section 4: ~01 is ~1, not /; an array index has no leading zeros; - names the element behind the last.
test.each<[unknown, string, unknown]>([
  [{ '~1': 'right', '/': 'wrong' }, '/~01', 'right'],
  [['a', 'b'], '/01', undefined],
  [['a', 'b'], '/-', undefined],
  [['a', 'b'], '/2', undefined],
  [['a', 'b'], '/length', undefined],
  [{ a: null }, '/a/b', undefined],
  [{ a: 4 }, '/a/b', undefined],
  ['text', '/0', undefined],
  [{}, '/toString', undefined],
  [{}, '/__proto__', undefined],
  [JSON.parse('{"__proto__":{"x":1}}'), '/__proto__/x', 1],
])('%j under %s', (json, pointer, value) => {
  expect(readPointer(json, pointer)).toEqual(value);
});
