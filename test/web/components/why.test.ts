import { expect, test } from 'vitest';
import { type Check, CheckName } from '../../../src/contract/state.ts';
import { CHECK_PURPOSE, marginSentence, whySentences } from '../../../web/components/checks/why.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';

const AMERICAN = { temperature: '[degF]', pressure: '[psi]', carbonation: 'g/L', volume: '[gal_us]' } as const;
const check = (name: CheckName, state: Check['state'], parts: Partial<Check>): Check => ({
  name,
  state,
  measured: null,
  wanted: null,
  wantedLow: null,
  wantedHigh: null,
  unit: null,
  advice: '',
  ...parts,
});
const margin = (one: Check, units: typeof DEFAULT_UNITS = DEFAULT_UNITS): string =>
  marginSentence(one, units).replaceAll('\u00a0', ' ');

const cold = (measured: number, state: Check['state']): Check =>
  check('cold', state, { measured, wanted: 2, wantedHigh: 2.2, unit: 'Cel' });
const serving = (measured: number, state: Check['state']): Check =>
  check('serving-pressure', state, { measured, wanted: '55 to 83 kPa', wantedLow: 55, wantedHigh: 83, unit: 'kPa' });

test('every check says what it is for', () => {
  expect(Object.keys(CHECK_PURPOSE).sort()).toEqual(CheckName.options.toSorted());
});

test('a check says what was measured, what is wanted, what still counts, and the margin', () => {
  const [first, second, third] = whySentences(cold(3.1, 'wait'), DEFAULT_UNITS).map((text) =>
    text.replaceAll('\u00a0', ' '),
  );
  expect(first).toBe('Measured: 3.1 °C; wanted: at most 2.0 °C (up to 2.2 °C counts).');
  expect(second).toBe('It is 0.9 °C above the most that counts.');
  expect(third).toBe(CHECK_PURPOSE.cold);
});

test.each([
  [cold(1.4, 'pass'), 'It is 0.8 °C below the most that counts.'],
  // Hysteresis: still passing a little outside.
  [cold(2.4, 'pass'), 'It is 0.2 °C above the most that counts: once right, that little does not matter.'],
  [serving(60, 'pass'), 'It is 0.05 bar above the least and 0.23 bar below the most that counts.'],
  [serving(50, 'act'), 'It is 0.05 bar below the least that counts.'],
  [serving(60, 'act'), 'It is inside these limits: what is in the way is another thing.'],
  [
    check('at-rest', 'pass', { measured: 25, wanted: 12, wantedLow: 12, unit: 'h' }),
    'It is 13 h above the least that counts.',
  ],
  [
    check('gas-supply', 'act', { measured: 0.2, wantedLow: 0.3, unit: 'kg' }),
    'It is 0.1 kg below the least that counts.',
  ],
  [check('steady', 'wait', { measured: '6 kPa, 0.2 °C in half an hour', wanted: 'at most 5 kPa' }), ''],
  [check('cold', 'unknown', { wantedHigh: 2.2, unit: 'Cel' }), ''],
])('the margin of %o is told', (one, words) => {
  expect(margin(one)).toBe(words);
});

/** A difference of 1 °C is one of 1.8 °F, and 1 psi is 6.894757 kPa. @source NIST SP 811, appendix B */
test('margins are differences: no offset of a scale is added to them', () => {
  expect(margin(cold(3.2, 'wait'), AMERICAN)).toBe('It is 1.8 °F above the most that counts.');
  expect(margin(serving(55 - 2 * 6.894757, 'act'), AMERICAN)).toBe('It is 2 psi below the least that counts.');
});

test('what is not known, and what wants nothing, is said without a margin', () => {
  expect(whySentences(check('gas-supply', 'unknown', {}), DEFAULT_UNITS)).toEqual([
    'Nothing is known of it now.',
    CHECK_PURPOSE['gas-supply'],
  ]);
});
