import { expect, test } from 'vitest';
import { BatchDescription, VerdictLimits } from '../../../src/contract/catalogue.ts';
import { DEFAULT_LIMITS } from '../../../src/domain/verdict/limits.ts';
import { wrongAt } from '../../../web/components/form/trouble.tsx';
import {
  BEER_LIMITS,
  DAY_LIMITS,
  limitFields,
  limitWords,
  plainTrouble,
  readLimits,
} from '../../../web/components/limits-form/entry.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';

const AMERICAN = { temperature: '[degF]', pressure: '[psi]', carbonation: 'volumes', volume: '[gal_us]' } as const;
const ALL = [...BEER_LIMITS, ...DAY_LIMITS];
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

test('every limit has a field, and its usual value is the service’s own', () => {
  expect(ALL.map(({ name }) => name).sort()).toEqual(Object.keys(VerdictLimits.shape).sort());
  expect(Object.fromEntries(ALL.map(({ name, usual }) => [name, usual]))).toEqual(DEFAULT_LIMITS);
});

test('usual limits are said in the reader’s units', () => {
  const words = (units: typeof DEFAULT_UNITS) => ALL.map((limit) => plain(limitWords(limit, limit.usual, units)));
  expect(words(DEFAULT_UNITS)).toEqual([
    '0.2 °C',
    '0.55 bar',
    '0.83 bar',
    '0.050 bar',
    '1.0 °C',
    '12 h',
    '12 h',
    '0.90 bar',
    '1.17 bar',
    '4.0 °C',
    '1.0 L',
    '0.3 kg',
  ]);
  // 8 and 12 psi, and 13 to 17 psi for purging; a difference of 1 °C is one of 1.8 °F. @source NIST SP 811, appendix B
  expect(words(AMERICAN)).toEqual([
    '0.4 °F',
    '8.0 psi',
    '12.0 psi',
    '0.73 psi',
    '1.8 °F',
    '12 h',
    '12 h',
    '13.1 psi',
    '17.0 psi',
    '39.2 °F',
    '0.3 gal',
    '0.3 kg',
  ]);
});

test('empty fields mean the usual limits, and what was set and not touched does not wander', () => {
  expect(readLimits(limitFields({}, AMERICAN), {}, AMERICAN)).toEqual({});
  const kept = { servingKpaHigh: 97, coldMarginC: 0.25, bottlesC: 2 };
  expect(readLimits(limitFields(kept, AMERICAN), kept, AMERICAN)).toEqual(kept);
});

test('what is typed is sent in the service’s units, as the service takes it', () => {
  const fields = { ...limitFields({}, AMERICAN), servingKpaHigh: '14', coldMarginC: '0,9', bottlesC: '35.6' };
  const limits = readLimits(fields, {}, AMERICAN);
  const sent = BatchDescription.parse({ limits }).limits;
  // 1 psi is 6.894757 kPa. @source NIST SP 811, appendix B
  expect(sent?.servingKpaHigh).toBeCloseTo(14 * 6.894757, 4);
  expect(sent?.coldMarginC).toBeCloseTo(0.5, 6);
  expect(sent?.bottlesC).toBeCloseTo(2, 6);
  expect(readLimits({ ...fields, restHours: 'long' }, {}, AMERICAN)).toBeNull();
});

/** As the service answers what its own schema refuses. */
function refused(limits: object) {
  const read = BatchDescription.safeParse({ limits });
  const errors = (read.error?.issues ?? []).map(({ path, message }) => ({
    pointer: `/${path.join('/')}`,
    detail: message,
  }));
  return plainTrouble({ detail: 'not of the expected form', errors });
}

test('what is refused stands at its field, in the reader’s units and without names of the service', () => {
  const [, low, high] = BEER_LIMITS;
  if (low === undefined || high === undefined) throw new Error('the limits of the serving pressure are gone');
  const inBar = (value: number): string => limitWords(high, value, DEFAULT_UNITS);
  expect(plain(wrongAt(refused({ servingKpaHigh: 900 }), '/limits/servingKpaHigh', inBar) ?? '')).toBe(
    'Must be at most 4.00 bar',
  );
  expect(wrongAt(refused({ servingKpaHigh: 40 }), '/limits/servingKpaHigh')).toBe(
    'Must be above the lowest; an empty field means the usual one',
  );
  expect(wrongAt(refused({ purgeKpaLow: 300 }), '/limits/purgeKpaHigh')).toMatch(/^Must be above the lowest/);
  expect(wrongAt(refused({ steadyKpa: 0 }), '/limits/steadyKpa')).toBe('Must be more than 0');
  expect(plainTrouble(null)).toBeNull();
});
