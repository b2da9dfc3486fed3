import { expect, test } from 'vitest';
import { nearest } from '../../src/config/suggest.ts';

test.each([
  ['prot', 'port'],
  ['PORT', 'port'],
  ['hosst', 'host'],
  ['pasword', 'password'],
  ['xyz', null],
  ['completely-different', null],
])('%s: %s', (word, near) => {
  expect(nearest(word, ['port', 'host', 'password'])).toBe(near);
});

test('of nothing there is no nearest', () => {
  expect(nearest('port', [])).toBeNull();
});
