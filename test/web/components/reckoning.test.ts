/**
 * Aim: whoever takes the figures that a check shows and reckons by the formula that stands beside them comes to its result.
 * Method: the printed figures are read again, and reckoned by the published formula written out here.
 */
import { describe, expect, test } from 'vitest';
import type { Check, CheckName, KegState } from '../../../src/contract/state.ts';
import {
  ABOVE_PROBABILITY_MAX,
  FLICKER_PROBABILITY,
  INSIDE_PROBABILITY_MIN,
} from '../../../src/domain/verdict/carbonation.ts';
import { FLICKER_C } from '../../../src/domain/verdict/cold.ts';
import { ASSUMED_ABV_PERCENT } from '../../../src/domain/verdict/freezing-margin.ts';
import { BREAKS_OUT_KPA } from '../../../src/domain/verdict/serving-pressure.ts';
import { equilibriumVolumes } from '../../../src/physics/carbonation.ts';
import { celsius, kpaAbsolute } from '../../../src/physics/units.ts';
import { JUDGED_BY } from '../../../web/components/checks/reckoned.ts';
import { reckoning } from '../../../web/components/checks/reckoning.ts';
import { FIRST_DAY_KEG } from '../../../web/components/sample-estimates.ts';
import { ACT_KEG, sampleKeg } from '../../../web/components/sample-states.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';

/** Each keg's equilibrium as the service computes it. */
const settled = (keg: KegState): KegState => ({
  ...keg,
  equilibriumVolumes: equilibriumVolumes(
    celsius(keg.beerTemperatureC ?? 0),
    kpaAbsolute((keg.headspaceKpaGauge ?? 0) + keg.ambientKpaAbsolute),
  ),
});
const of = (name: CheckName, keg: KegState, co2Ratio: number | null = 1) => {
  const check = keg.verdict.checks.find((one) => one.name === name);
  if (check === undefined) throw new Error(`no check ${name}`);
  return reckoning(check, { keg, co2Ratio }, DEFAULT_UNITS);
};
const numbers = (text: string): number[] =>
  [...text.replaceAll('−', '-').matchAll(/(?<![\d.])-?\d+(?:\.\d+)?/g)].map(([number]) => Number(number));
/** @source Henry-type fit to the trade's chart; P absolute in psi, T − 32 in °F */
const published = (psiAbsolute: number, above: number): number =>
  psiAbsolute * (0.01821 + 0.090115 * Math.exp(-above / 43.11)) - 0.003342;

test('judges by what the service judges by', () => {
  expect(JUDGED_BY).toEqual({
    insideMin: INSIDE_PROBABILITY_MIN,
    aboveMax: ABOVE_PROBABILITY_MAX,
    flicker: FLICKER_PROBABILITY,
    coldFlickerC: FLICKER_C,
    breaksOutKpa: BREAKS_OUT_KPA,
    assumedAbvPercent: ASSUMED_ABV_PERCENT,
  });
});

describe('what the beer comes to', () => {
  test.each([
    ['cold', 1.4, 87.6],
    ['warm', 18.3, 140],
    ['below zero', -0.8, 62],
  ])('is the result of the printed figures: %s', (_name, beerTemperatureC, headspaceKpaGauge) => {
    const keg = settled(sampleKeg({ beerTemperatureC, headspaceKpaGauge }));
    const { lines } = of('carbonation', keg);
    const [gauge = 0, air = 0, ratio = 0, absolute = 0] = numbers(lines[1] ?? '');
    const above = numbers(/T − 32 = (\S+)\./.exec(lines[1] ?? '')?.[1] ?? '')[0] ?? Number.NaN;
    expect((gauge + air) * ratio).toBeCloseTo(absolute, 1);
    expect(above).toBeCloseTo(beerTemperatureC * 1.8, 2);
    const told = numbers(/= ([\d.]+) volumes/.exec(lines[2] ?? '')?.[1] ?? '')[0] ?? Number.NaN;
    expect(Math.abs(published(absolute, above) - told)).toBeLessThan(0.01);
    expect(told).toBeCloseTo(keg.equilibriumVolumes ?? 0, 2);
  });

  test('is not reckoned where an input or the gas is not known', () => {
    expect(of('carbonation', settled(sampleKeg()), null).lines).toEqual([]);
    expect(of('carbonation', { ...sampleKeg({ headspaceKpaGauge: null }), equilibriumVolumes: null }).lines).toEqual(
      [],
    );
  });

  test('names the settings that would end inside the window, which do', () => {
    const keg = settled(sampleKeg({ beerTemperatureC: 3.1 }));
    const [low = 0, high = 0] = numbers(of('carbonation', keg).change[0] ?? '').slice(-2);
    // Bar to psi: 14.5038. @source NIST SP 811, appendix B
    const ends = (bar: number) => published(bar * 14.5038 + keg.ambientKpaAbsolute / 6.894757, 3.1 * 1.8);
    expect(ends(low)).toBeCloseTo(keg.target.low, 1);
    expect(ends(high)).toBeCloseTo(keg.target.high, 1);
  });

  test('says how sure the estimate is, and from where on that is enough', () => {
    const text = of('carbonation', settled(FIRST_DAY_KEG)).lines.join(' ');
    expect(text).toContain('Nine in ten of them hold 0.80 to 1.60 volumes.');
    expect(text).toContain(
      'Of 100 of them 62 are inside 2.30 to 2.60, and 1 past it. It passes from 90 inside and with at most 5 past; once it passes, until 86 and 7.',
    );
    expect(of('overcarbonation-risk', settled(FIRST_DAY_KEG)).lines.at(-1)).toContain('not within a week');
  });
});

describe('other checks', () => {
  test('the pressure of the beer’s own gas follows from what it holds', () => {
    const keg = settled(ACT_KEG);
    const line = of('serving-pressure', keg).lines.find((one) => one.startsWith('P = ')) ?? '';
    const absolute = Number(/= ([\d.]+) psi;/.exec(line)?.[1]);
    expect(published(absolute, 1.4 * 1.8)).toBeCloseTo(2.38, 2);
  });

  test('the freezing point follows from the alcohol, and the limit from it', () => {
    const limit = { wantedLow: -0.5, measured: 3.1 };
    const check = { ...(sampleKeg().verdict.checks.find(({ name }) => name === 'freezing-margin') as Check), ...limit };
    const { lines, change } = reckoning(check, { keg: sampleKeg(), co2Ratio: 1 }, DEFAULT_UNITS);
    const [, moles = 0, water = 0] = /^−1\.86 × ([\d.]+) \/ ([\d.]+) = /.exec(lines[2] ?? '')?.map(Number) ?? [];
    const told = numbers(/= (−[\d.]+) °C/.exec(lines[2] ?? '')?.[1] ?? '')[0];
    expect(told).toBeCloseTo((-1.86 * moles) / water, 1);
    expect(change[0]?.replaceAll('\u00a0', ' ')).toBe('Beer colder by more than 3.6 °C.');
  });

  test.each<[CheckName, RegExp]>([
    ['cold', /^Beer colder by 1\.1 °C, or a wish that is warmer/],
    ['at-rest', /^Moving, shaking, venting or filling it\.$/],
    ['steady', /^Time, while nobody turns/],
    ['probes-fresh', /^A probe that speaks/],
  ])('%s says what would change it', (name, words) => {
    expect(of(name, sampleKeg()).change[0]?.replaceAll('\u00a0', ' ')).toMatch(words);
  });

  test('what nobody watches says nothing', () => {
    for (const name of ['purge-pressure', 'bottles-cold', 'gas-supply', 'beer-left'] as const)
      expect(of(name, sampleKeg())).toEqual({ inputs: [], lines: [], change: [] });
  });
});
