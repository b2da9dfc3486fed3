import { describe, expect, test } from 'vitest';
import { kegFactsAt } from '../../../src/domain/keg-facts.ts';
import { coldCheck } from '../../../src/domain/verdict/cold.ts';
import { coldestSafeC, freezingMarginCheck } from '../../../src/domain/verdict/freezing-margin.ts';
import { judge } from '../../../src/domain/verdict/judge.ts';
import { aBasis, aBatch } from '../../support/builders.ts';

describe('clear of freezing', () => {
  /** Source: Lange's Handbook of Chemistry, table 5.13: 5 % by volume freezes near −1.6 to −1.7 °C. */
  test('a beer of 5 % should stay a degree above its freezing point', () => {
    expect(coldestSafeC(5)).toBeGreaterThan(-0.8);
    expect(coldestSafeC(5)).toBeLessThan(-0.5);
    expect(coldestSafeC(null)).toBe(coldestSafeC(3.5));
  });

  test('passes above, asks for someone below, and cannot tell without a thermometer', () => {
    expect(freezingMarginCheck(aBasis({ beerC: 1 })).state).toBe('pass');
    expect(freezingMarginCheck(aBasis({ beerC: -2.5 }))).toMatchObject({
      state: 'act',
      measured: -2.5,
      advice: expect.stringMatching(/^Set the fridge warmer: beer of .* begins to freeze at/),
    });
    expect(freezingMarginCheck(aBasis({ beerC: null })).state).toBe('unknown');
  });

  test('says so where no alcohol was entered', () => {
    const basis = aBasis({ beerC: -2.5, batch: aBatch({ abvPercent: null }) });
    expect(freezingMarginCheck(basis).advice).toContain('3.5 % alcohol (none was entered)');
  });

  test('names the alcohol that was entered', () => {
    const basis = aBasis({ beerC: -5, batch: aBatch({ abvPercent: 6.5 }) });
    expect(freezingMarginCheck(basis).advice).toContain('beer of 6.5 % alcohol begins to freeze');
  });

  test('can be told for any alcohol that may be entered', () => {
    for (let abvPercent = 0; abvPercent <= 20; abvPercent += 0.5) {
      const checked = freezingMarginCheck(aBasis({ beerC: 2, batch: aBatch({ abvPercent }) }));
      expect(checked.state, `${abvPercent} %`).toBe('pass');
    }
  });

  test('is named before anything else that someone must do', () => {
    expect(judge(aBasis({ beerC: -2.5, kpaGauge: 20 })).headline).toMatch(/^Set the fridge warmer/);
  });

  test('no advice sets a fridge to where the beer freezes', () => {
    const facts = {
      ...kegFactsAt([], 0),
      target: { volumes: 2.25, low: 2, high: 2.5, celsius: -5 },
      fridgeCelsius: 1.5,
    };
    const check = coldCheck(aBasis({ beerC: 1.5, facts }));
    expect(check).toMatchObject({ state: 'act', advice: expect.stringMatching(/^Wish for a warmer fill/) });
  });
});
