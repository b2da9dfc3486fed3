import { describe, expect, test } from 'vitest';
import {
  ageWords,
  carbonationFigures,
  carbonationWords,
  pressureWords,
  temperatureWords,
} from '../../src/domain/words.ts';

const metric = { temperature: 'Cel', pressure: 'bar' } as const;
const customary = { temperature: '[degF]', pressure: '[psi]' } as const;

describe('words', () => {
  test.each([
    [1.44, '1.4\u00a0°C', '34.6\u00a0°F'],
    [-2, '\u22122.0\u00a0°C', '28.4\u00a0°F'],
    [-0.04, '0.0\u00a0°C', '31.9\u00a0°F'],
    [-20, '\u221220.0\u00a0°C', '\u22124.0\u00a0°F'],
  ])('temperature %d', (celsius, inMetric, inCustomary) => {
    expect(temperatureWords(celsius, metric)).toBe(inMetric);
    expect(temperatureWords(celsius, customary)).toBe(inCustomary);
  });

  test.each([
    [62, '0.62\u00a0bar', '9\u00a0psi', '62\u00a0kPa'],
    [68.947573, '0.69\u00a0bar', '10\u00a0psi', '69\u00a0kPa'],
    [78.6, '0.79\u00a0bar', '11.4\u00a0psi', '79\u00a0kPa'],
    [-5, '\u22120.05\u00a0bar', '\u22120.7\u00a0psi', '\u22125\u00a0kPa'],
  ])('pressure %d', (kpa, bar, psi, inKpa) => {
    expect(pressureWords(kpa, metric)).toBe(bar);
    expect(pressureWords(kpa, customary)).toBe(psi);
    expect(pressureWords(kpa, { pressure: 'kPa' })).toBe(inKpa);
  });

  test('carbonation, in volumes or by mass (1.977 g/L a volume)', () => {
    expect(carbonationWords(2.514, { carbonation: 'volumes' })).toBe('2.51\u00a0volumes');
    expect(carbonationWords(2.514, { carbonation: 'g/L' })).toBe('5.0\u00a0g/L');
    expect(carbonationFigures(2.023, { carbonation: 'g/L' })).toBe('4.0');
  });

  test.each([
    [-5, '0 s'],
    [12_400, '12 s'],
    [59_499, '59 s'],
    [59_500, '1 min'],
    [3_569_000, '59 min'],
    [3_570_000, '1 h'],
    [47.4 * 3_600_000, '47 h'],
    [48 * 3_600_000, '2 days'],
    [10 * 86_400_000, '10 days'],
  ])('an age of %d ms', (ageMs, words) => {
    expect(ageWords(ageMs)).toBe(words);
  });
});
