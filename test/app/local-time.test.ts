/**
 * Aim: quiet hours follow the wall clock of the person, through both changes of daylight saving time.
 * Method: instants around the changes of 2026, counted by hand from the rules of the zones: the European Union changes at
 * 01:00 UTC on the last Sundays of March and October, the United States at 02:00 local time on the second Sunday of March
 * and the first of November.
 */
import { describe, expect, test } from 'vitest';
import { countedOn, dateIn, isTimeZone, minuteOfDay, timeWords } from '../../src/app/local-time.ts';
import { isQuiet } from '../../src/domain/delivery/quiet-hours.ts';

const at = (text: string) => Date.parse(text);
const clock = (minute: number) =>
  `${String(Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`;
const quiet = (from: string, to: string) => {
  const minutes = (text: string) => Number(text.slice(0, 2)) * 60 + Number(text.slice(3));
  return { fromMinute: minutes(from), toMinute: minutes(to) };
};

/** Minutes of a span in which it is quiet, counted minute by minute. */
function quietMinutes(hours: ReturnType<typeof quiet>, timeZone: string, from: string, to: string): number {
  let count = 0;
  for (let ms = at(from); ms < at(to); ms += 60_000) if (isQuiet(hours, minuteOfDay(ms, timeZone))) count += 1;
  return count;
}

describe('the wall clock', () => {
  test.each([
    ['Europe/Vienna', '2026-03-29T00:59:00Z', '01:59'],
    ['Europe/Vienna', '2026-03-29T01:00:00Z', '03:00'],
    ['Europe/Vienna', '2026-10-25T00:59:00Z', '02:59'],
    ['Europe/Vienna', '2026-10-25T01:00:00Z', '02:00'],
    ['America/New_York', '2026-03-08T06:59:00Z', '01:59'],
    ['America/New_York', '2026-03-08T07:00:00Z', '03:00'],
    ['America/New_York', '2026-11-01T05:59:00Z', '01:59'],
    ['America/New_York', '2026-11-01T06:00:00Z', '01:00'],
    ['UTC', '2026-06-01T00:00:00Z', '00:00'],
    ['Australia/Lord_Howe', '2026-06-01T00:00:00Z', '10:30'],
  ])('of %s shows at %s %s', (timeZone, instant, shown) => {
    expect(clock(minuteOfDay(at(instant), timeZone))).toBe(shown);
  });

  test('is told with the day where it is another day', () => {
    const now = at('2026-06-10T12:00:00Z');
    expect(timeWords(at('2026-06-10T07:05:00Z'), now, 'Europe/Vienna')).toBe('09:05');
    expect(timeWords(at('2026-06-09T22:30:00Z'), now, 'Europe/Vienna')).toBe('00:30');
    expect(timeWords(at('2026-06-09T21:30:00Z'), now, 'Europe/Vienna')).toBe('Tue 23:30');
    expect(timeWords(at('2026-06-09T22:30:00Z'), now, 'America/New_York')).toBe('Tue 18:30');
    expect(timeWords(at('2026-05-01T10:00:00Z'), now, 'UTC')).toBe('1 May 10:00');
    expect(timeWords(at('2025-06-10T10:00:00Z'), now, 'UTC')).toBe('10 Jun 10:00');
  });

  test('is of zones that exist', () => {
    expect([isTimeZone('Europe/Vienna'), isTimeZone('Mars/Olympus')]).toEqual([true, false]);
  });
});

describe('quiet hours', () => {
  test('end with the minute before the one named, over midnight too', () => {
    const night = quiet('22:00', '07:00');
    const states = ['21:59', '22:00', '23:59', '00:00', '06:59', '07:00'].map((time) => {
      return isQuiet(night, quiet(time, time).fromMinute);
    });
    expect(states).toEqual([false, true, true, true, true, false]);
    expect(
      ['12:59', '13:00', '14:59', '15:00'].map((time) =>
        isQuiet(quiet('13:00', '15:00'), quiet(time, time).fromMinute),
      ),
    ).toEqual([false, true, true, false]);
    expect(isQuiet(null, 0)).toBe(false);
  });

  // 22:00 to 07:00 is 9 h of wall clock: 8 h in the night that loses an hour, 10 h in the one that gains it.
  test.each([
    ['Europe/Vienna', '2026-03-28T12:00:00Z', '2026-03-29T12:00:00Z', 8],
    ['Europe/Vienna', '2026-10-24T12:00:00Z', '2026-10-25T12:00:00Z', 10],
    ['America/New_York', '2026-03-07T17:00:00Z', '2026-03-08T17:00:00Z', 8],
    ['America/New_York', '2026-10-31T17:00:00Z', '2026-11-01T17:00:00Z', 10],
    ['Europe/Vienna', '2026-06-01T12:00:00Z', '2026-06-02T12:00:00Z', 9],
  ])('of a night in %s from %s to %s last %d h', (timeZone, from, to, hours) => {
    expect(quietMinutes(quiet('22:00', '07:00'), timeZone, from, to)).toBe(hours * 60);
  });

  test('inside the hour that is skipped never come, inside the one that comes twice come twice', () => {
    const hours = quiet('02:10', '02:50');
    expect(quietMinutes(hours, 'Europe/Vienna', '2026-03-28T12:00:00Z', '2026-03-29T12:00:00Z')).toBe(0);
    expect(quietMinutes(hours, 'Europe/Vienna', '2026-10-24T12:00:00Z', '2026-10-25T12:00:00Z')).toBe(80);
    expect(quietMinutes(hours, 'America/New_York', '2026-03-07T17:00:00Z', '2026-03-08T17:00:00Z')).toBe(0);
    expect(
      quietMinutes(quiet('01:10', '01:50'), 'America/New_York', '2026-10-31T17:00:00Z', '2026-11-01T17:00:00Z'),
    ).toBe(80);
  });

  test('end in the morning at the hour the person named, in both zones, before and after the changes', () => {
    const night = quiet('22:00', '07:00');
    const ends = ([timeZone, instant]: readonly [string, string]) => {
      return [at(instant) - 60_000, at(instant)].map((ms) => isQuiet(night, minuteOfDay(ms, timeZone)));
    };
    for (const morning of [
      ['Europe/Vienna', '2026-03-28T06:00:00Z'],
      ['Europe/Vienna', '2026-03-29T05:00:00Z'],
      ['Europe/Vienna', '2026-10-24T05:00:00Z'],
      ['Europe/Vienna', '2026-10-25T06:00:00Z'],
      ['America/New_York', '2026-03-07T12:00:00Z'],
      ['America/New_York', '2026-03-08T11:00:00Z'],
      ['America/New_York', '2026-10-31T11:00:00Z'],
      ['America/New_York', '2026-11-01T12:00:00Z'],
    ] as const)
      expect({ morning, states: ends(morning) }).toEqual({ morning, states: [true, false] });
  });
});

describe('days', () => {
  test('are those of the time zone', () => {
    expect(dateIn(at('2026-03-01T23:30:00Z'), 'UTC')).toBe('2026-03-01');
    expect(dateIn(at('2026-03-01T23:30:00Z'), 'Europe/Vienna')).toBe('2026-03-02');
    expect(dateIn(at('2026-03-01T02:30:00Z'), 'America/New_York')).toBe('2026-02-28');
  });

  test('are counted, and the oldest of more than a month go', () => {
    let counts: Record<string, number> = {};
    for (let day = 0; day < 40; day += 1)
      counts = countedOn(counts, dateIn(at('2026-03-01') + day * 86_400_000, 'UTC'));
    counts = countedOn(counts, '2026-04-09');
    expect(Object.keys(counts)).toHaveLength(31);
    expect(Object.entries(counts).at(0)).toEqual(['2026-03-10', 1]);
    expect(Object.entries(counts).at(-1)).toEqual(['2026-04-09', 2]);
  });
});
