import { describe, expect, test } from 'vitest';
import { fieldsOf, firstFields, type PlanFields, readPlan } from '../../../web/components/fill-plan/entry.ts';
import { GOOD_PLAN, SAMPLE_NOW_MS } from '../../../web/components/fill-plan/sample-plan.ts';
import {
  bottleSize,
  countWords,
  daysOf,
  hourOf,
  rangeOf,
  secondsWords,
} from '../../../web/components/fill-plan/words.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';
import { planPathOf, routeOf } from '../../../web/store/routes.ts';

const ZONE = 'Europe/Vienna';
const stepOf = (kind: string) => {
  const step = GOOD_PLAN.steps.find((one) => one.kind === kind);
  if (step === undefined) throw new Error(`no step ${kind}`);
  return step;
};

describe('the form', () => {
  const fields: PlanFields = { at: '2026-06-27T19:00', count: '12', size: '0.5', moreCount: '', moreSize: '0.33' };

  test('begins with an evening to come and a dozen', () => {
    const first = firstFields(SAMPLE_NOW_MS, ZONE);
    expect(first).toMatchObject({ at: '2026-06-27T18:00', count: '12' });
  });

  test('is read in the site’s zone', () => {
    expect(readPlan(fields, ZONE)).toEqual({ ok: true, fillAt: '2026-06-27T17:00:00.000Z', bottles: '12x0.5' });
    expect(readPlan({ ...fields, moreCount: '6' }, ZONE)).toMatchObject({ bottles: '12x0.5,6x0.33' });
  });

  test.each([{ at: '' }, { count: '' }, { count: '2.5' }, { count: '0' }, { moreCount: 'six' }])(
    'refuses %j with what to say',
    (change) => {
      const read = readPlan({ ...fields, ...change }, ZONE);
      expect(read.ok ? '' : read.detail).toMatch(/^Say (when|how many)/);
    },
  );

  test('shows a kept plan again', () => {
    expect(fieldsOf('2026-06-27T17:00:00.000Z', '12x0.5,6x0.33', ZONE)).toEqual({ ...fields, moreCount: '6' });
    expect(fieldsOf('2026-06-27T17:00:00.000Z', '12x0.5', ZONE)).toEqual(fields);
  });
});

describe('the timetable', () => {
  test('is laid out by days of the site’s zone', () => {
    const days = daysOf(GOOD_PLAN.steps, ZONE);
    expect(days.map(({ name }) => name)).toEqual(['Thursday 25 June', 'Friday 26 June', 'Saturday 27 June']);
    expect(days.flatMap(({ steps }) => steps)).toEqual(GOOD_PLAN.steps);
  });

  test('says now, the latest hour, and ranges of what the keg does', () => {
    expect(hourOf(stepOf('fridge'), GOOD_PLAN.at, ZONE)).toBe('now');
    expect(hourOf(stepOf('fill'), GOOD_PLAN.at, ZONE)).toBe('19:00');
    expect(rangeOf(stepOf('fridge'), SAMPLE_NOW_MS, ZONE)).toBe('latest Fri 21:30');
    expect(rangeOf(stepOf('inside'), SAMPLE_NOW_MS, ZONE)).toBe('Sat 02:00 to Sat 13:00');
    expect(rangeOf(stepOf('rest'), SAMPLE_NOW_MS, ZONE)).toBe('until 19:00');
    expect(rangeOf(stepOf('fill'), SAMPLE_NOW_MS, ZONE)).toBe('');
    expect(rangeOf({ ...stepOf('inside'), latest: '2026-06-27T00:00:00.000Z' }, SAMPLE_NOW_MS, ZONE)).toBe('by itself');
    expect(rangeOf({ ...stepOf('fridge'), earliest: '2026-06-24T00:00:00Z', latest: GOOD_PLAN.at }, 0, ZONE)).toBe('');
    expect(countWords(GOOD_PLAN.steps)).toBe('6 things for you, the keg does the rest');
    expect(countWords([stepOf('fill')])).toBe('1 thing for you, the keg does the rest');
  });
});

test('times to fill and sizes are said as people say them', () => {
  expect(secondsWords(14.4, 21)).toBe('14 to 21\u00a0s');
  expect(secondsWords(14, null)).toBe('14\u00a0s');
  expect(secondsWords(70, 150)).toBe('1 to 3\u00a0min');
  expect(secondsWords(118, 121)).toBe('2\u00a0min');
  expect(secondsWords(null, null)).toBe('it does not run');
  expect(bottleSize(0.33, DEFAULT_UNITS)).toBe('330\u00a0mL');
  expect(bottleSize(1.5, DEFAULT_UNITS)).toBe('1.5\u00a0L');
  expect(bottleSize(0.355, { ...DEFAULT_UNITS, volume: '[gal_us]' })).toBe('12\u00a0fl\u00a0oz');
});

test('the page has an address below its keg', () => {
  expect(routeOf(planPathOf('back-lane'))).toEqual({ page: 'plan', kegId: 'back-lane' });
  expect(routeOf('/kegs/one/other')).toMatchObject({ page: 'nowhere' });
});
