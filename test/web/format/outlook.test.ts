import fc from 'fast-check';
import { expect, test } from 'vitest';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';
import { bandText, outlookLine, outlookSentences, standing, whenWords } from '../../../web/format/outlook.ts';

const ZONE = 'Europe/Vienna';
/** Wednesday 25 November 2026, 17:20 in Vienna. */
const NOW = Date.parse('2026-11-25T16:20:00Z');
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');
const when = (lowHours: number, hours: number, highHours: number): string =>
  plain(whenWords({ lowHours, hours, highHours }, NOW, ZONE));

test('a time is said as finely as it is known', () => {
  expect(when(1.1, 1.9, 2.6)).toBe('today between 18:30 and 20:00');
  expect(when(10, 16, 22)).toBe('on Thursday between 03:00 and 15:00');
  expect(when(22, 31, 44)).toBe('between Thu 15:00 and Fri 13:00');
  expect(when(30, 60, 110)).toBe('between Thursday and Monday');
  expect(when(50, 100, 150)).toBe('between 27 Nov and 1 Dec');
  expect(when(152, 154, 160)).toBe('on 2 Dec');
  expect(when(1.9, 2, 2.05)).toBe('about 19:20');
});

test('what may have come already is said with its last hour', () => {
  expect(when(0, 20, 43)).toBe('by Fri 12:00, maybe already');
  expect(when(0, 60, 160)).toBe('by 2 Dec, maybe already');
});

test('an end as far ahead as the service looks may be later still', () => {
  expect(when(50, 140, 168)).toBe('between 27 Nov and 2 Dec, or later');
  expect(when(0, 140, 168)).toBe('between now and 2 Dec, or later');
  const readyIn = { lowHours: 50, hours: 140, highHours: 168 };
  expect(plain(outlookLine({ readyIn, coldIn: null }, NOW, ZONE))).toBe('In its window about 1 Dec.');
});

test('no time that is past is ever promised', () => {
  fc.assert(
    fc.property(fc.double({ min: 0, max: 20, noNaN: true }), fc.double({ min: 0, max: 20, noNaN: true }), (a, b) => {
      const [lowHours, highHours] = [Math.min(a, b), Math.max(a, b)];
      const said = whenWords({ lowHours, hours: (a + b) / 2, highHours }, NOW, 'UTC');
      const [first] = /\d\d:\d\d/.exec(said) ?? [];
      if (!said.startsWith('today')) return true;
      return first !== undefined && first >= '16:20';
    }),
  );
});

test('what is there already, or cannot be told, needs no sentence', () => {
  const readyIn = { hours: 31, lowHours: 22, highHours: 44 };
  const done = { hours: 0, lowHours: 0, highHours: 0 };
  expect(outlookSentences({ readyIn: null, coldIn: done }, NOW, ZONE)).toEqual([]);
  expect(outlookLine({ readyIn: null, coldIn: done }, NOW, ZONE)).toBe('');
  expect(outlookSentences({ readyIn, coldIn: done }, NOW, ZONE).map(plain)).toEqual([
    'It comes into its window between Thu 15:00 and Fri 13:00.',
  ]);
  const coldIn = { hours: 5, lowHours: 4, highHours: 7 };
  expect(plain(outlookLine({ readyIn, coldIn }, NOW, ZONE))).toBe(
    'In its window by Fri 13:00, nearly cold by Thu 00:30.',
  );
  expect(plain(outlookLine({ readyIn: null, coldIn }, NOW, ZONE))).toBe('Nearly cold by Thu 00:30.');
});

test('a band is said by where it stands to the window', () => {
  const window = { low: 2.3, high: 2.6 };
  const of = (low: number, high: number): string => standing({ volumes: (low + high) / 2, low, high }, window);
  expect(of(0.8, 1.6)).toBe('still below its window');
  expect(of(2.2, 2.5)).toBe('in its window, or still below it');
  expect(of(2.4, 2.5)).toBe('inside its window');
  expect(of(2.4, 2.7)).toBe('in its window, or past it');
  expect(of(2.7, 2.9)).toBe('past its window');
  expect(of(2, 3)).toBe('somewhere about its window');
  expect(plain(bandText({ low: 2.17, high: 2.55 }, DEFAULT_UNITS))).toBe('2.17 to 2.55 volumes');
  expect(plain(bandText({ low: 2.17, high: 2.55 }, { ...DEFAULT_UNITS, carbonation: 'g/L' }))).toBe('4.3 to 5.0 g/L');
});
