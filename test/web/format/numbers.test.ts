import { expect, test } from 'vitest';
import type { Units } from '../../../src/contract/catalogue.ts';
import { pressureWords } from '../../../src/domain/words.ts';
import {
  carbonation,
  DEFAULT_UNITS,
  digits,
  measure,
  niceTicks,
  pressure,
  temperature,
  temperatureDifference,
  tickText,
  volume,
} from '../../../web/format/numbers.ts';

const AMERICAN: Units = { temperature: '[degF]', pressure: '[psi]', carbonation: 'g/L', volume: '[gal_us]' };
const SPACE = '\u00a0';

test('a minus is a minus, and nought has none', () => {
  expect(digits(-1.25, 1)).toBe('−1.3');
  expect(digits(-0.04, 1)).toBe('0.0');
  expect(digits(2.375, 2)).toBe('2.38');
});

test('values carry their unit behind a no-break space', () => {
  expect(temperature(1.44, DEFAULT_UNITS)).toBe(`1.4${SPACE}°C`);
  expect(pressure(58.45, DEFAULT_UNITS)).toBe(`0.58${SPACE}bar`);
  expect(pressure(58.45, { ...DEFAULT_UNITS, pressure: 'kPa' })).toBe(`58${SPACE}kPa`);
  expect(carbonation(2.384, DEFAULT_UNITS)).toBe(`2.38${SPACE}volumes`);
});

/** NIST SP 811: 1 psi = 6.894757 kPa; °F = 1.8 °C + 32; one US gallon = 3.785412 L. 1 volume = 1.977 g/L (CO2, real gas). */
test.each([
  [temperature(-1, AMERICAN), '30.2 °F'],
  [temperatureDifference(1, AMERICAN), '1.8 °F'],
  [pressure(82.737, AMERICAN), '12 psi'],
  [pressure(87.6, AMERICAN), '12.7 psi'],
  [pressure(69, AMERICAN), pressureWords(69, AMERICAN).replace(SPACE, ' ')],
  [carbonation(2.5, AMERICAN), '4.9 g/L'],
  [volume(18.927, AMERICAN), '5.0 gal'],
])('%s', (shown, expected) => {
  expect(shown.replace(SPACE, ' ')).toBe(expected);
});

test('values of the API are shown in the units of the reader', () => {
  const shown = (value: number | string | null, unit: string | null): string =>
    measure(value, unit, DEFAULT_UNITS).replace(SPACE, ' ');
  expect(shown(41, '[degF]')).toBe('5.0 °C');
  expect(shown(101.3, 'kPa')).toBe('1.01 bar');
  expect(shown(1013, 'mbar')).toBe('1.01 bar');
  expect(shown(900, '[ppm]')).toBe('900 ppm');
  expect(shown(25, 'h')).toBe('25 h');
  expect(shown(1.94, 'kg')).toBe('1.9 kg');
  expect(shown('steady', null)).toBe('steady');
  expect(shown(null, 'kPa')).toBe('–');
});

test('ticks stand at 1, 2 or 5 times a power of ten, no more than asked for', () => {
  expect(niceTicks(-2.6, 8.2, 6)).toEqual([-2, 0, 2, 4, 6, 8]);
  expect(niceTicks(0.38, 1.02, 7).map((tick) => tickText(tick, 0.1))).toEqual([
    '0.4',
    '0.5',
    '0.6',
    '0.7',
    '0.8',
    '0.9',
    '1.0',
  ]);
  for (const most of [2, 3, 5, 9]) {
    for (const high of [0.7, 12, 99, 140]) expect(niceTicks(0, high, most).length).toBeLessThanOrEqual(most + 1);
  }
});
