import { expect, test } from 'vitest';
import {
  ageWords,
  clockTime,
  durationWords,
  fromWallTime,
  hoursWords,
  localTimes,
  midnights,
  timeTicks,
  toWallTime,
} from '../../../web/format/times.ts';

const VIENNA = 'Europe/Vienna';
const HOUR_MS = 3_600_000;
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

test.each([
  [0, 'just now'],
  [-60_000, 'just now'],
  [12_400, '12 s ago'],
  [59_999, '59 s ago'],
  [60_000, '1 min ago'],
  [3_599_000, '59 min ago'],
  [5 * HOUR_MS, '5 h ago'],
  [47 * HOUR_MS, '47 h ago'],
  [49 * HOUR_MS, '2 days ago'],
])('an age of %d ms is "%s"', (age, words) => {
  expect(plain(ageWords(age))).toBe(words);
});

test('durations to come are rounded to what a person plans by', () => {
  expect(plain(durationWords(29 * 60_000))).toBe('29 min');
  expect(plain(hoursWords(0.5))).toBe('30 min');
  expect(plain(hoursWords(5.4))).toBe('5 h');
  expect(plain(hoursWords(60))).toBe('3 days');
});

test('the clock says the day only if it is another', () => {
  const now = Date.parse('2026-11-25T13:06:00Z');
  expect(clockTime(Date.parse('2026-11-25T13:02:00Z'), now, VIENNA)).toBe('14:02');
  expect(clockTime(Date.parse('2026-11-24T23:30:00Z'), now, VIENNA)).toBe('00:30');
  expect(clockTime(Date.parse('2026-11-24T22:30:00Z'), now, VIENNA)).toBe('Tue 23:30');
  expect(clockTime(Date.parse('2026-11-01T12:00:00Z'), now, VIENNA)).toBe('1 Nov 13:00');
});

/** Clock changes in the EU in 2026: 29 March and 25 October, both at 01:00 UTC (Directive 2000/84/EC). */
test('wall times go to the zone and back, over both clock changes', () => {
  for (const at of [
    '2026-03-28T12:00Z',
    '2026-03-29T00:30Z',
    '2026-03-29T01:30Z',
    '2026-10-24T22:15Z',
    '2026-10-25T03:00Z',
  ]) {
    const ms = Date.parse(at);
    expect(fromWallTime(toWallTime(ms, VIENNA), VIENNA)).toBe(ms);
  }
});

test('the repeated hour means its first pass, the skipped hour moves on', () => {
  expect(fromWallTime('2026-10-25T02:30', VIENNA)).toBe(Date.parse('2026-10-25T00:30Z'));
  expect(fromWallTime('2026-03-29T02:30', VIENNA)).toBe(Date.parse('2026-03-29T01:30Z'));
  expect(fromWallTime('yesterday', VIENNA)).toBeNull();
});

test('an unknown zone falls back to UTC instead of failing', () => {
  expect(clockTime(0, 0, 'Nowhere/Land')).toBe('00:00');
});

test('midnights are those of the zone: 23 and 25 hours apart when the clock changes', () => {
  const found = midnights(Date.parse('2026-03-28T12:00Z'), Date.parse('2026-03-31T12:00Z'), VIENNA);
  expect(found.map((at) => new Date(at).toISOString())).toEqual([
    '2026-03-28T23:00:00.000Z',
    '2026-03-29T22:00:00.000Z',
    '2026-03-30T22:00:00.000Z',
  ]);
});

test('a day is ticked by hours, a week by days, a season by dates', () => {
  const from = Date.parse('2026-11-20T11:00Z');
  const labels = (hours: number): string[] =>
    timeTicks(from, from + hours * HOUR_MS, VIENNA, 8).map((tick) => tick.label);
  expect(labels(6)).toContain('14:00');
  expect(labels(24)).toContain('Sat');
  expect(labels(24 * 7)).toEqual(['Sat', 'Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri']);
  expect(labels(24 * 60)[0]).toBe('21 Nov');
  expect(labels(24 * 60).length).toBeLessThanOrEqual(8);
});

test('instants in a sentence are told as the clock on the wall tells them', () => {
  const nowMs = Date.parse('2026-03-01T20:00:00Z');
  expect(localTimes('It was filled at 2026-03-01T18:30:00.000Z already.', nowMs, 'Europe/Vienna')).toBe(
    'It was filled at 19:30 already.',
  );
  expect(localTimes('2026-02-27T23:30:00+01:00 is before 2026-01-02T00:00Z', nowMs, 'UTC')).toBe(
    'Fri 22:30 is before 2 Jan 00:00',
  );
  expect(localTimes('at 18:30 on 2026-03-01', nowMs, 'UTC')).toBe('at 18:30 on 2026-03-01');
});
