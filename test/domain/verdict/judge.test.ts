import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { kegFactsAt } from '../../../src/domain/keg-facts.ts';
import type { Check, CheckName, CheckState } from '../../../src/domain/verdict/check.ts';
import { conclude, judge, type Verdict } from '../../../src/domain/verdict/judge.ts';
import { aBasis, aBatch, HOUR, NOON } from '../../support/builders.ts';

const stateOf = (verdict: Verdict, name: string) => verdict.checks.find((check) => check.name === name)?.state;

describe('the verdict', () => {
  test('lists every check, in the same order', () => {
    const names = judge(aBasis({ beerC: 4, kpaGauge: 70 })).checks.map(({ name }) => name);
    expect(names).toEqual([
      'carbonation',
      'overcarbonation-risk',
      'cold',
      'freezing-margin',
      'serving-pressure',
      'steady',
      'at-rest',
      'probes-fresh',
      'purge-pressure',
      'bottles-cold',
      'gas-supply',
      'beer-left',
    ]);
  });

  test('without a batch says what to enter, whatever the probes say', () => {
    const verdict = judge(aBasis({ batch: null, beerC: 1, kpaGauge: 20 }));
    expect(verdict).toMatchObject({ kind: 'unknown', headline: 'Say what is in this keg and when it was filled.' });
    expect(verdict.checks).toHaveLength(12);
  });

  test('someone being needed outweighs not knowing', () => {
    const verdict = judge(aBasis({ beerC: 1, kpaGauge: 20 }));
    expect(stateOf(verdict, 'carbonation')).toBe('unknown');
    expect(verdict.kind).toBe('act');
    expect(verdict.headline).toMatch(/^Turn the regulator/);
  });

  test('not knowing outweighs waiting', () => {
    const verdict = judge(aBasis({ beerC: 9, kpaGauge: 70 }));
    expect(stateOf(verdict, 'cold')).toBe('wait');
    expect(verdict.kind).toBe('unknown');
    expect(verdict.headline).toMatch(/cannot be told yet/);
  });

  test('a silent probe is named before everything else that cannot be told', () => {
    const verdict = judge(aBasis({ beerC: 4, kpaGauge: 70, beerAgeMs: HOUR }));
    expect(verdict.kind).toBe('unknown');
    expect(verdict.headline).toMatch(/^Look at the beer thermometer/);
  });

  test('the first check that asks for someone gives the headline', () => {
    const facts = { ...kegFactsAt([], NOON), fridgeCelsius: 8 };
    const verdict = judge(aBasis({ beerC: 9, kpaGauge: 20, facts }));
    expect(stateOf(verdict, 'serving-pressure')).toBe('act');
    expect(verdict.headline).toMatch(/^Set the fridge/);
  });
});

describe('checks together', () => {
  const aCheck = (name: CheckName, state: CheckState): Check => ({
    name,
    state,
    measured: null,
    wanted: null,
    wantedLow: null,
    wantedHigh: null,
    unit: null,
    advice: state === 'pass' ? '' : `${name} ${state}`,
  });
  const come = (carbonation: CheckState, cold: CheckState, pressure: CheckState, fresh: CheckState) => {
    const { kind, headline } = conclude([
      aCheck('carbonation', carbonation),
      aCheck('cold', cold),
      aCheck('serving-pressure', pressure),
      aCheck('probes-fresh', fresh),
    ]);
    return `${kind}: ${headline}`;
  };

  test.each<[CheckState, CheckState, CheckState, CheckState, string]>([
    ['pass', 'pass', 'pass', 'pass', 'ready: Fill whenever you like.'],
    ['pass', 'not-watched', 'pass', 'pass', 'ready: Fill whenever you like.'],
    ['wait', 'pass', 'pass', 'pass', 'wait: carbonation wait'],
    ['wait', 'wait', 'pass', 'pass', 'wait: carbonation wait'],
    ['unknown', 'wait', 'pass', 'pass', 'unknown: carbonation unknown'],
    ['unknown', 'unknown', 'pass', 'unknown', 'unknown: probes-fresh unknown'],
    ['unknown', 'wait', 'act', 'unknown', 'act: serving-pressure act'],
    ['act', 'wait', 'act', 'pass', 'act: carbonation act'],
  ])('%s, %s, %s, %s: %s', (carbonation, cold, pressure, fresh, verdict) => {
    expect(come(carbonation, cold, pressure, fresh)).toBe(verdict);
  });
});

const anyBasis = fc.record({
  beerC: fc.option(fc.double({ min: -40, max: 80, noNaN: true })),
  kpaGauge: fc.option(fc.double({ min: -100, max: 1500, noNaN: true })),
  beerAgeMs: fc.integer({ min: 0, max: 2 * HOUR }),
  pressureAgeMs: fc.integer({ min: 0, max: 2 * HOUR }),
  co2Ratio: fc.option(fc.double({ min: 0.01, max: 1, noNaN: true })),
  batch: fc.constantFrom(null, aBatch()),
});

test('as long as what is dissolved cannot be told, nothing is ever ready, and nobody is told to just wait', () => {
  fc.assert(
    fc.property(anyBasis, (basis) => {
      expect(['act', 'unknown']).toContain(judge(aBasis(basis)).kind);
    }),
  );
});

test('whatever the probes say, a verdict has a headline, finite numbers and advice where something is amiss', () => {
  fc.assert(
    fc.property(anyBasis, (basis) => {
      const verdict = judge(aBasis(basis));
      expect(verdict.headline).not.toBe('');
      for (const check of verdict.checks) {
        if (!['pass', 'not-watched'].includes(check.state)) expect(check.advice).not.toBe('');
        for (const value of [check.measured, check.wanted, check.wantedLow, check.wantedHigh]) {
          if (typeof value === 'number') expect(value).toSatisfy(Number.isFinite);
        }
        expect(check.advice).not.toMatch(/NaN|Infinity|undefined|null/);
      }
    }),
  );
});
