/**
 * Aim: what a closed keg's pressure looks like is told as what it is, and only when it can be.
 * Method: courses by the laws of absorption and of a leak, written down by hand.
 */
import { describe, expect, test } from 'vitest';
import { type ClosedCourse, paceKpaPerHour, readClosedCourse } from '../../../src/domain/gas-check/closed-course.ts';
import { hoursWords, readingWords, resultWords } from '../../../src/domain/gas-check/words.ts';
import { HOUR, MINUTE, NOON } from '../../support/builders.ts';

const UNITS = { temperature: 'Cel', pressure: 'kPa', carbonation: 'volumes' } as const;
const CALM = { volumes: 2.1, leak: 'none', disagreement: null } as const;

/** A pressure every five minutes; `kpaAt` by hours. */
function aCourse(hours: number, kpaAt: (hours: number) => number, change: Partial<ClosedCourse> = {}): ClosedCourse {
  const count = Math.round((hours * HOUR) / (5 * MINUTE));
  return {
    startedAtMs: NOON,
    nowMs: NOON + hours * HOUR,
    shaken: false,
    beforeKpaGauge: kpaAt(0),
    steps: Array.from({ length: count }, (_, index) => {
      const atMs = NOON + index * 5 * MINUTE;
      // A probe's noise that repeats.
      return { atMs, kpaGauge: kpaAt((atMs - NOON) / HOUR) + 0.15 * Math.sin(index * 7) };
    }),
    dissolved: CALM,
    ...change,
  };
}
const absorbing =
  (tauHours: number, byKpa = 30) =>
  (hours: number) =>
    70 - byKpa * (1 - Math.exp(-hours / tauHours));
const steady = () => 70;
const says = (course: ClosedCourse) => readingWords(readClosedCourse(course), course, UNITS);

describe('a closed keg', () => {
  test.each<[string, ClosedCourse, object]>([
    ['nothing heard', aCourse(3, steady, { steps: [] }), { kind: 'silent' }],
    ['fallen silent', aCourse(3, steady, { nowMs: NOON + 4 * HOUR }), { kind: 'silent' }],
    ['just closed', aCourse(0.3, steady), { kind: 'too-early' }],
    ['just shaken', aCourse(0.3, steady, { shaken: true }), { kind: 'too-early' }],
    ['just closed and falling fast', aCourse(0.3, absorbing(0.3)), { kind: 'absorbing', slowing: false }],
    ['taking up gas', aCourse(1.5, absorbing(3)), { kind: 'absorbing', slowing: false }],
    ['taking up less and less', aCourse(4, absorbing(3)), { kind: 'absorbing', slowing: true }],
    ['falling as steadily as at first', aCourse(4, (hours) => 70 - 4 * hours), { kind: 'absorbing', slowing: false }],
    ['in balance', aCourse(12, absorbing(2)), { kind: 'balanced' }],
    [
      'in balance after shaking',
      aCourse(0.6, (h) => (h < 0.08 ? 60 : 42), { shaken: true, beforeKpaGauge: 70 }),
      { kind: 'absorbing', slowing: false },
    ],
    ['not moved', aCourse(2, steady), { kind: 'unmoved' }],
    ['giving off', aCourse(2, (hours) => 70 + 5 * hours), { kind: 'rising' }],
    [
      'like an open valve',
      aCourse(2, steady, { dissolved: { ...CALM, disagreement: 'closed-but-holds' } }),
      { kind: 'holds-open' },
    ],
    [
      'perhaps a leak',
      aCourse(2, (h) => 70 - 9 * h, { dissolved: { ...CALM, leak: 'suspected' } }),
      { kind: 'leak', likely: false },
    ],
    [
      'a leak',
      aCourse(2, (h) => 70 - 9 * h, { dissolved: { ...CALM, leak: 'likely' } }),
      { kind: 'leak', likely: true },
    ],
    ['without an estimate', aCourse(2, absorbing(3), { dissolved: null }), { kind: 'absorbing', slowing: false }],
    ['of an unknown start', aCourse(3, absorbing(2), { beforeKpaGauge: null }), { kind: 'absorbing', slowing: true }],
  ])('%s', (_name, course, reading) => {
    expect(readClosedCourse(course)).toEqual(reading);
  });

  test('pace is that of the line through the points', () => {
    expect(paceKpaPerHour(aCourse(2, (hours) => 70 - 3 * hours).steps)).toBeCloseTo(-3, 0);
    expect(paceKpaPerHour(aCourse(0.1, steady).steps)).toBe(0);
  });
});

describe('in words', () => {
  test.each<[ClosedCourse, RegExp]>([
    [aCourse(3, steady, { steps: [] }), /^No pressure is heard/],
    [aCourse(0.3, steady), /^Closed for 18 min: too early to tell\.$/],
    [aCourse(4, absorbing(3)), /^The pressure fell by 22.kPa in 4 h and falls more slowly than at first/],
    [aCourse(1.5, absorbing(3)), /^The pressure fell by 1[12].kPa in 1\.5 h and goes on falling\./],
    [aCourse(12, absorbing(2)), /^The pressure stands still at 40.kPa: .* holds about 2\.10.volumes\.$/],
    [aCourse(12, absorbing(2), { dissolved: null }), /^The pressure stands still at 40.kPa\.$/],
    [aCourse(2, steady), /hardly moved in 2 h\. The beer is near what this pressure holds, about 2\.10.volumes, or/],
    [aCourse(2, steady, { dissolved: null }), /hardly moved in 2 h\. The keg holds its gas, or/],
    [aCourse(2, (hours) => 70 + 5 * hours), /^The pressure rose by 9.kPa/],
    [
      aCourse(2, steady, { dissolved: { ...CALM, disagreement: 'closed-but-holds' } }),
      /open valve\..*at about 2\.10.volumes\.$/,
    ],
    [aCourse(2, (h) => 70 - 9 * h, { dissolved: { ...CALM, leak: 'suspected' } }), /It may be a leak: brush/],
    [
      aCourse(2, (h) => 70 - 9 * h, { dissolved: { ...CALM, leak: 'likely' }, beforeKpaGauge: null }),
      /very likely leaks: brush/,
    ],
  ])('%#', (course, told) => {
    expect(says(course)).toMatch(told);
  });

  test('a reading that has no course behind it is told without numbers of its own', () => {
    const course = aCourse(2, steady, { steps: [], beforeKpaGauge: null, dissolved: null });
    expect(readingWords({ kind: 'holds-open' }, course, UNITS)).toMatch(/the beer is full up\.$/);
    expect(readingWords({ kind: 'rising' }, course, UNITS)).toContain('0');
  });

  test.each([
    [
      { hours: 4, shaken: false, before: { low: 1.2, high: 1.9 }, after: { low: 1.5, high: 1.7 }, leak: 'none' },
      'Closed for 4 h: from 1.20 to 1.90 volumes to 1.50 to 1.70 volumes.',
    ],
    [
      { hours: 0.5, shaken: true, before: null, after: { low: 1.5, high: 1.7 }, leak: 'suspected' },
      'Closed for 30 min and shaken: 1.50 to 1.70 volumes. A leak is suspected.',
    ],
    [
      { hours: 30, shaken: false, before: null, after: null, leak: 'likely' },
      'Closed for 30 h. The keg very likely leaks.',
    ],
    [{ hours: 72, shaken: false, before: null, after: null, leak: null }, 'Closed for 3 days.'],
  ] as const)('a result %#', (result, told) => {
    expect(resultWords(result, UNITS).replaceAll('\u00a0', ' ')).toBe(told);
  });

  test.each([
    [0.001, '1 min'],
    [0.94, '56 min'],
    [1, '1 h'],
    [2.53, '2.5 h'],
    [12.4, '12 h'],
    [60, '3 days'],
  ])('%d h are %s', (hours, words) => {
    expect(hoursWords(hours)).toBe(words);
  });
});
