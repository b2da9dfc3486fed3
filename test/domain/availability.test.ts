import { expect, test } from 'vitest';
import { readAvailability } from '../../src/domain/availability.ts';

const USUAL = { topic: 'garage/shelf/status', online: null, offline: null };

test.each([
  ['online', 'online'],
  ['Online\n', 'online'],
  ['true', 'online'],
  [' OFFLINE ', 'offline'],
  ['false', 'offline'],
  ['', null],
  ['away', null],
  ['{"state":"online"}', null],
])('%j says %s by the usual words', (payload, said) => {
  expect(readAvailability(payload, USUAL)).toBe(said);
});

test('words of its own are the only ones, to the letter', () => {
  const own = { ...USUAL, online: '1', offline: '0' };
  expect(['1', ' 0', 'online', 'offline', 'false'].map((payload) => readAvailability(payload, own))).toEqual([
    'online',
    'offline',
    null,
    null,
    null,
  ]);
  const half = { ...USUAL, offline: 'Gone' };
  expect(['Gone', 'gone', 'offline', 'true'].map((payload) => readAvailability(payload, half))).toEqual([
    'offline',
    null,
    null,
    'online',
  ]);
});
