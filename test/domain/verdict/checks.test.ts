import { describe, expect, test } from 'vitest';
import { equilibriumOrNull } from '../../../src/domain/equilibrium.ts';
import type { KegFacts } from '../../../src/domain/keg-facts.ts';
import { kegFactsAt } from '../../../src/domain/keg-facts.ts';
import { collectInputs } from '../../../src/domain/keg-inputs.ts';
import type { VerdictBasis } from '../../../src/domain/verdict/basis.ts';
import { carbonationCheck } from '../../../src/domain/verdict/carbonation.ts';
import { coldCheck } from '../../../src/domain/verdict/cold.ts';
import { probesFreshCheck } from '../../../src/domain/verdict/probes-fresh.ts';
import { advisedSettingKpaGauge, servingPressureCheck } from '../../../src/domain/verdict/serving-pressure.ts';
import { aBasis, aLiveValue, aSite, HOUR, MINUTE, NOON } from '../../support/builders.ts';

const target = (low: number, high: number, celsius = 2): Pick<KegFacts, 'target'> => ({
  target: { volumes: (low + high) / 2, low, high, celsius },
});
const facts = (change: Partial<KegFacts>): KegFacts => ({ ...kegFactsAt([], NOON), ...change });

describe('carbonation', () => {
  test('tells what the beer is heading for, and does not claim to know what is in it', () => {
    const check = carbonationCheck(aBasis({ beerC: 4, kpaGauge: 70 }));
    expect(check).toMatchObject({
      name: 'carbonation',
      state: 'unknown',
      // By hand: (70 + 101.325) / 6.894757 · (0.01821 + 0.090115 · exp(−7.2 / 43.11)) − 0.003342 = 2.344.
      measured: 'heading for 2.34\u00a0volumes',
      wanted: '2.00 to 2.50\u00a0volumes',
      wantedLow: 2,
      wantedHigh: 2.5,
    });
    expect(check.advice).toMatch(/cannot be told yet/);
  });

  test.each<[string, Partial<Parameters<typeof aBasis>[0]>]>([
    ['no thermometer', { beerC: null }],
    ['no pressure', { kpaGauge: null }],
    ['a stale thermometer', { beerAgeMs: 13 * MINUTE }],
    ['a stale pressure', { pressureAgeMs: 13 * MINUTE }],
    ['a temperature outside what can be computed', { beerC: 45 }],
  ])('%s: nothing is measured', (_why, change) => {
    const check = carbonationCheck(aBasis({ beerC: 4, kpaGauge: 70, ...change }));
    expect(check).toMatchObject({ state: 'unknown', measured: null });
    expect(check.advice).toMatch(/takes the temperature/);
  });

  test('mixed gas of unknown share says what to enter', () => {
    const check = carbonationCheck(aBasis({ beerC: 4, kpaGauge: 70, co2Ratio: null }));
    expect(check).toMatchObject({ state: 'unknown', measured: null });
    expect(check.advice).toMatch(/Enter its share of CO2/);
  });
});

describe('cold', () => {
  test.each([
    [1.5, 'pass'],
    [2.2, 'pass'],
    [2.2001, 'wait'],
    [12, 'wait'],
  ] as const)('%d °C with 2 °C wished: %s', (beerC, state) => {
    expect(coldCheck(aBasis({ beerC }))).toMatchObject({ state, measured: beerC, wanted: 2, wantedHigh: 2.2 });
  });

  test('beer that passes needs no advice; beer that waits is told until when', () => {
    expect(coldCheck(aBasis({ beerC: 1 })).advice).toBe('');
    expect(coldCheck(aBasis({ beerC: 9 })).advice).toBe('Wait until the beer is at 2.0\u00a0°C.');
  });

  test('follows the temperature that was wished, and speaks the units of the house', () => {
    const basis = aBasis({ beerC: 9, facts: facts(target(2, 2.5, 5)) });
    expect(coldCheck(basis)).toMatchObject({ wanted: 5, wantedHigh: 5.2 });
    const spoken = coldCheck({ ...basis, units: { temperature: '[degF]', pressure: '[psi]', carbonation: 'volumes' } });
    expect(spoken.advice).toBe('Wait until the beer is at 41.0\u00a0°F.');
  });

  test('a fridge that is set too warm asks for someone', () => {
    expect(coldCheck(aBasis({ beerC: 9, facts: facts({ fridgeCelsius: 6 }) }))).toMatchObject({
      state: 'act',
      advice: 'Set the fridge to 2.0\u00a0°C; at 6.0\u00a0°C the beer never gets cold enough.',
    });
    expect(coldCheck(aBasis({ beerC: 9, facts: facts({ fridgeCelsius: 2.2 }) })).state).toBe('wait');
  });

  test('no thermometer, or a stale one: unknown', () => {
    expect(coldCheck(aBasis({ beerC: null }))).toMatchObject({ state: 'unknown', measured: null });
    expect(coldCheck(aBasis({ beerC: 1, beerAgeMs: HOUR }))).toMatchObject({ state: 'unknown', measured: null });
    expect(coldCheck(aBasis({ beerC: 1, beerAgeMs: 12 * MINUTE })).state).toBe('pass');
  });
});

describe('serving pressure', () => {
  test.each([
    [55, 'pass'],
    [70, 'pass'],
    [83, 'pass'],
    [54.99, 'act'],
    [83.01, 'act'],
    [0, 'act'],
  ] as const)('%d kPa: %s', (kpaGauge, state) => {
    expect(servingPressureCheck(aBasis({ beerC: 1, kpaGauge }))).toMatchObject({ state, measured: kpaGauge });
  });

  test('too high: turn down, but do not vent in haste', () => {
    expect(servingPressureCheck(aBasis({ beerC: 1, kpaGauge: 140 })).advice).toMatch(
      /^Turn the regulator to 0\.5\d\u00a0bar\. Do not vent the keg in haste: it foams\.$/,
    );
  });

  test('too low: turn up', () => {
    expect(servingPressureCheck(aBasis({ beerC: 1, kpaGauge: 20 })).advice).toMatch(
      /^Turn the regulator to 0\.5\d\u00a0bar\.$/,
    );
  });

  test('beer that carbonates warm into its window only waits', () => {
    const check = servingPressureCheck(aBasis({ beerC: 14, kpaGauge: 140 }));
    expect(check.state).toBe('wait');
    expect(check.advice).toMatch(/Right while the beer is this warm/);
  });

  test('warm beer that heads past its window does not', () => {
    expect(servingPressureCheck(aBasis({ beerC: 14, kpaGauge: 250 })).state).toBe('act');
  });

  test('nor does beer whose temperature is not known now', () => {
    expect(servingPressureCheck(aBasis({ beerC: null, kpaGauge: 140 })).state).toBe('act');
    expect(servingPressureCheck(aBasis({ beerC: 14, beerAgeMs: HOUR, kpaGauge: 140 })).state).toBe('act');
  });

  test('no pressure, or a stale one: unknown', () => {
    expect(servingPressureCheck(aBasis({ kpaGauge: null }))).toMatchObject({ state: 'unknown', measured: null });
    expect(servingPressureCheck(aBasis({ kpaGauge: 70, pressureAgeMs: HOUR })).state).toBe('unknown');
  });

  test('gas of which nothing is known: no number is advised', () => {
    const basis = aBasis({ beerC: 1, kpaGauge: 20, co2Ratio: null });
    expect(advisedSettingKpaGauge(basis)).toBeNull();
    expect(servingPressureCheck(basis).advice).toBe('Turn the regulator to a serving pressure.');
  });
});

describe('the advised setting', () => {
  const heldBy = (kpaGauge: number | null, beerC: number) => equilibriumOrNull(beerC, kpaGauge ?? 0, 101.325, 1) ?? 0;

  test('ends inside the window, at a pressure beer is served at', () => {
    const set = advisedSettingKpaGauge(aBasis({ beerC: 12, kpaGauge: 20 }));
    expect(set).toBeGreaterThanOrEqual(55);
    expect(set).toBeLessThanOrEqual(83);
    expect(heldBy(set, 2)).toBeGreaterThan(2);
    expect(heldBy(set, 2)).toBeLessThanOrEqual(2.5);
  });

  test('where serving allows it, it ends in the middle', () => {
    const set = advisedSettingKpaGauge(aBasis({ beerC: 12, facts: facts(target(2.3, 2.5)) }));
    expect(heldBy(set, 2)).toBeCloseTo(2.4, 9);
  });

  test('where no setting does both, the window wins', () => {
    const set = advisedSettingKpaGauge(aBasis({ beerC: 1, facts: facts(target(3.4, 3.6)) })) ?? 0;
    expect(set).toBeGreaterThan(83);
    expect(heldBy(set, 1)).toBeCloseTo(3.5, 9);
  });

  test('is for the temperature that the beer has once it is cold', () => {
    const colder = advisedSettingKpaGauge(aBasis({ beerC: -1, facts: facts(target(2.5, 2.9)) }));
    expect(heldBy(colder, -1)).toBeCloseTo(2.7, 2);
    expect(advisedSettingKpaGauge(aBasis({ beerC: 12, facts: facts(target(2.3, 2.7)) }))).toBe(
      advisedSettingKpaGauge(aBasis({ beerC: null, facts: facts(target(2.3, 2.7)) })),
    );
  });

  test('rests on no thermometer that has fallen silent', () => {
    const silent = aBasis({ beerC: -1, beerAgeMs: HOUR, facts: facts(target(2.3, 2.7)) });
    expect(advisedSettingKpaGauge(silent)).toBe(
      advisedSettingKpaGauge(aBasis({ beerC: null, facts: facts(target(2.3, 2.7)) })),
    );
  });
});

describe('probes fresh', () => {
  test('all heard lately', () => {
    expect(probesFreshCheck(aBasis({ beerC: 4, kpaGauge: 70 }))).toMatchObject({
      state: 'pass',
      measured: 'all 2',
      advice: '',
    });
  });

  test('late is not silent', () => {
    expect(probesFreshCheck(aBasis({ beerC: 4, kpaGauge: 70, beerAgeMs: 12 * MINUTE })).state).toBe('pass');
  });

  test('a probe never heard of: where it publishes to', () => {
    expect(probesFreshCheck(aBasis({ beerC: null, kpaGauge: 70 }))).toMatchObject({
      state: 'unknown',
      measured: '1 of 2',
      advice: 'Nothing heard of the beer thermometer yet: it publishes to probes/one/beer-temperature.',
    });
    expect(probesFreshCheck(aBasis({ beerC: 4, kpaGauge: null })).advice).toBe(
      'Nothing heard of the pressure probe yet: it publishes to probes/one/headspace-pressure.',
    );
  });

  test('a silent probe: for how long', () => {
    expect(probesFreshCheck(aBasis({ beerC: 4, kpaGauge: 70, pressureAgeMs: 3 * HOUR }))).toMatchObject({
      state: 'unknown',
      measured: '1 of 2',
      advice: 'Look at the pressure probe: silent for 3 h. Has it power and network?',
    });
  });

  test('nothing heard at all', () => {
    expect(probesFreshCheck(aBasis({ beerC: null, kpaGauge: null })).measured).toBe('0 of 2');
  });
});

test('inputs of the builder are those that the program makes', () => {
  const made = collectInputs([aLiveValue('beer-temperature', 4)], null, aSite(), NOON)[0];
  const basis: VerdictBasis = aBasis({ beerC: 4 });
  expect(basis.beerTemperature).toEqual(made);
});
