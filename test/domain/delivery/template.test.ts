/** Aim: what a remote answers is understood, and what is filled in stays a value. */
import { describe, expect, test } from 'vitest';
import { retryAfterMs, statusMeaning } from '../../../src/domain/delivery/http-answer.ts';
import { isMailAddress } from '../../../src/domain/delivery/mail-address.ts';
import {
  escapingFor,
  fillTemplate,
  type TemplateValues,
  unknownPlaceholders,
} from '../../../src/domain/delivery/template.ts';
import { NOON } from '../../support/builders.ts';

const values: TemplateValues = {
  id: '1',
  what: 'begin',
  level: 'urgent',
  subject: 'a "b"',
  text: '{{id}}',
  details: 'a\nb',
  acknowledge: 'http://x/acknowledge/a.b',
  link: '',
  keg: 'one',
  address: 'x y',
  time: '',
};

describe('a template', () => {
  test('is filled once, each placeholder as its surroundings want it', () => {
    expect(fillTemplate('{{text}} {{ subject }} {{other}} {{}}', values, 'plain')).toBe('{{id}} a "b" {{other}} {{}}');
    expect(fillTemplate('{"s":"{{subject}}","d":"{{details}}"}', values, 'json')).toBe('{"s":"a \\"b\\"","d":"a\\nb"}');
    expect(fillTemplate('{{address}}', { ...values, address: 'x y\ud800' }, 'url')).toBe('x%20y%EF%BF%BD');
  });

  test('with placeholders that nobody knows is told so', () => {
    expect(unknownPlaceholders('{{text}} {{ other }} {{}} {text}')).toEqual(['other', '']);
  });

  test.each([
    ['application/json', 'json'],
    ['application/vnd.api+json; charset=utf-8', 'json'],
    ['application/x-www-form-urlencoded', 'url'],
    ['text/plain', 'plain'],
    ['application/jsonx', 'plain'],
  ])('for %s is escaped as %s', (contentType, escaping) => {
    expect(escapingFor(contentType)).toBe(escaping);
  });
});

test('a status says whether trying again helps', () => {
  const meanings = [199, 200, 299, 301, 400, 404, 408, 422, 425, 429, 500, 501, 502, 503, 504].map(statusMeaning);
  const [no, yes, never, unclear] = ['not-now', 'taken', 'refused', 'unclear'];
  expect(meanings).toEqual([no, yes, yes, no, never, no, no, never, no, no, unclear, no, unclear, no, unclear]);
});

test('patience is asked for in seconds or by a date', () => {
  expect(retryAfterMs(null, NOON)).toBeNull();
  expect(retryAfterMs(' 30 ', NOON)).toBe(30_000);
  expect(retryAfterMs('Mon, 01 Jun 2026 12:01:00 GMT', NOON)).toBe(60_000);
  expect(retryAfterMs('Mon, 01 Jun 2026 11:00:00 GMT', NOON)).toBe(0);
  expect(retryAfterMs('soon', NOON)).toBeNull();
});

test.each([
  ['anna@club.example', true],
  ['a.b+c@x-y.example', true],
  ['anna@localhost', true],
  ['anna', false],
  ['anna@', false],
  ['@club.example', false],
  ['anna@club..example', false],
  ['anna@-club.example', false],
  ['a b@club.example', false],
  ['anna@club.example, eve@evil.example', false],
  ['anna@club.example\r\nBcc: eve@evil.example', false],
  ['anna@club.example\n', false],
  ['<anna@club.example>', false],
  [`${'a'.repeat(65)}@club.example`, false],
  [`a@${`${'b'.repeat(60)}.`.repeat(5)}example`, false],
])('%j is a mail address: %s', (text, wanted) => {
  expect(isMailAddress(text)).toBe(wanted);
});
