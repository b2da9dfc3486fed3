import { describe, expect, test } from 'vitest';
import { type AdviceBasis, adviseCheck } from '../../../src/domain/gas-check/advice.ts';
import type { Expectation } from '../../../src/domain/gas-check/expected.ts';
import { adviceWords } from '../../../src/domain/gas-check/words.ts';

const UNITS = { temperature: 'Cel', pressure: 'bar', carbonation: 'volumes' } as const;

const expecting = (shaken: number, one: number, four: number, twelve: number): Expectation[] => [
  { hours: 0.5, shaken: true, plusMinus: shaken },
  { hours: 1, shaken: false, plusMinus: one },
  { hours: 4, shaken: false, plusMinus: four },
  { hours: 12, shaken: false, plusMinus: twelve },
];
const aBasis = (change: Partial<AdviceBasis> = {}): AdviceBasis => ({
  hasBatch: true,
  co2RatioKnown: true,
  pressureHeard: true,
  temperatureHeard: true,
  plusMinus: 0.35,
  insideProbability: 0.3,
  expected: expecting(0.15, 0.3, 0.16, 0.13),
  running: false,
  ...change,
});
const says = (change: Partial<AdviceBasis> = {}) =>
  adviceWords(adviseCheck(aBasis(change)), UNITS).replaceAll('\u00a0', ' ');

describe('a check is advised', () => {
  test('of the shortest length that gains nearly all, with a shaken one that does as well', () => {
    expect(adviseCheck(aBasis())).toMatchObject({ kind: 'check', hours: 4, longer: null, shaken: { plusMinus: 0.15 } });
    expect(says()).toBe(
      'Close the gas for 4 h: what the beer holds is then known to about ±0.16 volumes. Or shake it for two minutes and let it rest for half an hour: ±0.15 volumes. Not in the hours before bottles are filled: a shaken keg needs half a day of rest.',
    );
  });

  test('with a longer one that tells clearly more, and none shaken that tells little', () => {
    const expected = expecting(0.34, 0.3, 0.2, 0.15);
    expect(adviseCheck(aBasis({ expected }))).toMatchObject({
      kind: 'check',
      hours: 4,
      longer: { hours: 12 },
      shaken: null,
    });
    expect(says({ expected })).toBe(
      'Close the gas for 4 h: what the beer holds is then known to about ±0.20 volumes. After 12 h it would be ±0.15 volumes.',
    );
  });

  test.each<[string, Partial<AdviceBasis>, RegExp]>([
    ['no pressure probe', { pressureHeard: false, hasBatch: false }, /needs a pressure probe/],
    ['no beer', { hasBatch: false }, /holds no beer .* enter the filling/],
    ['no beer, checked for tightness', { hasBatch: false, running: true }, /only whether it is tight/],
    ['mixed gas', { co2RatioKnown: false }, /share of CO2/],
    ['no thermometer', { temperatureHeard: false }, /no thermometer of this keg is heard now/],
    ['not estimated yet', { plusMinus: null }, /still being worked out/],
    ['inside already', { insideProbability: 0.95 }, /inside its window already/],
    ['known well', { plusMinus: 0.07 }, /about as well as the probes allow/],
    ['nothing to gain', { expected: expecting(0.34, 0.35, 0.33, 0.31) }, /would tell little now/],
    ['nothing but loss', { expected: expecting(0.5, 0.5, 0.5, 0.5) }, /would tell little now/],
    ['nothing foreseen', { expected: [] }, /would tell little now/],
    ['going on, worth it', { running: true }, /^Leave the gas closed until it has been 1 h: then ±0\.30 volumes/],
    ['going on, done', { running: true, expected: expecting(0.34, 0.34, 0.33, 0.32) }, /^That is enough/],
    [
      'going on, known well',
      { running: true, plusMinus: 0.08, expected: expecting(0.04, 0.04, 0.04, 0.04) },
      /^That is enough/,
    ],
  ])('unless: %s', (_name, change, told) => {
    expect(says(change)).toMatch(told);
  });
});
