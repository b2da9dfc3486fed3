/** Aim: what a batch taught of its keg is summed up rightly and believed with reserve. Method: clouds whose moments are known. */
import { describe, expect, test } from 'vitest';
import { at, packCloud } from '../../../src/domain/estimate/cloud.ts';
import { createDice, seedWords } from '../../../src/domain/estimate/dice.ts';
import { Estimator } from '../../../src/domain/estimate/estimator.ts';
import { drawLearnt, type KegLearning, learningOf } from '../../../src/domain/estimate/learning.ts';
import { aCloud, aFilling, carbonating, onGas, SEA_LEVEL, walkOn } from './kegs.ts';

const LEARNT: KegLearning = {
  lnTau: { mean: 13.5, sd: 0.15 },
  logitSurface: { mean: 0.2, sd: 0.3 },
  lnDepth: { mean: -3.2, sd: 0.1 },
  logitDeep: { mean: -1, sd: 0.5 },
};
const chance = () => createDice(seedWords(5));

describe('what is learnt', () => {
  test('is the weighted mean and spread', () => {
    const cloud = aCloud(100);
    cloud.columns.lnTau.forEach((_, index, cells) => {
      cells[index] = index < 50 ? 12 : 14;
    });
    const weights = new Float64Array(100).map((_, index) => (index < 50 ? 0.015 : 0.005));
    // Three quarters at 12, one at 14: mean 12.5, variance 0.75 · 0.25 · 2².
    const { lnTau } = learningOf(cloud, weights);
    expect(lnTau.mean).toBeCloseTo(12.5, 9);
    expect(lnTau.sd).toBeCloseTo(Math.sqrt(0.75), 9);
  });

  test('is drawn wider than it was learnt, by four particles of five', () => {
    const cloud = aCloud(4000);
    const before = cloud.columns.lnTau.slice();
    const rateBefore = cloud.columns.surfaceRate.slice();
    drawLearnt(cloud, LEARNT, 0.0195, chance());
    const drawn = [...cloud.columns.lnTau].filter((value, index) => value !== at(before, index));
    expect(drawn.length / 4000).toBeCloseTo(0.8, 1);
    const mean = drawn.reduce((sum, value) => sum + value, 0) / drawn.length;
    const sd = Math.sqrt(drawn.reduce((sum, value) => sum + (value - mean) ** 2, 0) / drawn.length);
    expect(mean).toBeCloseTo(13.5, 1);
    expect(sd).toBeCloseTo(Math.hypot(0.15, 0.2), 1);
    // What follows from the constants follows.
    expect(cloud.columns.surfaceRate).not.toEqual(rateBefore);
  });

  test.each([
    ['a mean that is no number', { ...LEARNT, lnDepth: { mean: Number.NaN, sd: 0.1 } }],
    ['a spread below nothing', { ...LEARNT, lnTau: { mean: 13, sd: -1 } }],
  ])('%s is passed over', (_, wrong) => {
    const cloud = aCloud(50);
    drawLearnt(cloud, wrong, 0.0195, chance());
    expect(packCloud(cloud)).toEqual(packCloud(aCloud(50)));
  });
});

test('a keg known to be slow is expected to be slow, and more surely', () => {
  const learning: KegLearning = { ...LEARNT, lnTau: { mean: 13.2, sd: 0.1 } };
  const options = { seed: 1, particles: 400 };
  const known = walkOn(Estimator.begin(aFilling(), SEA_LEVEL, { ...options, learning }), 0, 600, (index) =>
    index === 0 ? { events: onGas() } : {},
  ).estimate();
  const unknown = carbonating(600, 400).estimate();
  expect(known.volumes).toBeLessThan(unknown.volumes - 0.1);
  expect(known.high - known.low).toBeLessThan(unknown.high - unknown.low);
});

test('on gas nothing shows how fast a keg is, so that nothing is learnt', () => {
  const first = carbonating(1, 400).learning();
  const later = carbonating(600, 400).learning();
  expect(later.lnTau).toEqual(first.lnTau);
});
