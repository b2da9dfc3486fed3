import { describe, expect, test } from 'vitest';
import { isNewForecast, judgeForecasts, type ReadyForecast } from '../../src/domain/ready-times.ts';
import { DAY, HOUR, NOON } from '../support/builders.ts';

const said = (atMs: number, hours: number): ReadyForecast => ({
  atMs,
  hours,
  lowHours: hours - 10,
  highHours: hours + 10,
});

describe('forecasts are kept', () => {
  test('once a day', () => {
    expect(isNewForecast([], NOON)).toBe(true);
    expect(isNewForecast([said(NOON, 80)], NOON + DAY - 1)).toBe(false);
    expect(isNewForecast([said(NOON, 80)], NOON + DAY)).toBe(true);
  });

  test('for two months at most', () => {
    const all = Array.from({ length: 60 }, (_, day) => said(NOON + day * DAY, 80));
    expect(isNewForecast(all, NOON + 70 * DAY)).toBe(false);
  });
});

describe('a forecast is held against what came', () => {
  const forecasts = [said(NOON, 80), said(NOON + DAY, 40)];

  test('later or earlier, within its range or not', () => {
    const came = NOON + 75 * HOUR;
    expect(judgeForecasts(forecasts, came, NOON + 9 * DAY)).toEqual([
      { ...said(NOON, 80), expectedAtMs: NOON + 80 * HOUR, lateHours: -5, inRange: true },
      { ...said(NOON + DAY, 40), expectedAtMs: NOON + 64 * HOUR, lateHours: 11, inRange: false },
    ]);
    expect(judgeForecasts(forecasts, NOON + 20 * HOUR, NOON)[0]).toMatchObject({ lateHours: -60, inRange: false });
  });

  test('and is missed once its range is over, though nothing has come', () => {
    const judged = judgeForecasts(forecasts, null, NOON + 80 * HOUR);
    expect(judged.map(({ lateHours, inRange }) => [lateHours, inRange])).toEqual([
      [null, null],
      [null, false],
    ]);
  });
});
