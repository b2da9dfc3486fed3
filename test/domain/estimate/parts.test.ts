/**
 * Aim: the tools of the estimate, each on its own: chance, quantiles, renewal, cost.
 * Method: known moments and sorted values.
 */
import process from 'node:process';
import { describe, expect, test } from 'vitest';
import { at, contentOf, copyCloud, fillEvenly, packCloud, unpackCloud } from '../../../src/domain/estimate/cloud.ts';
import { createDice, seedWords } from '../../../src/domain/estimate/dice.ts';
import { Estimator } from '../../../src/domain/estimate/estimator.ts';
import { solubilityPerPa } from '../../../src/domain/estimate/law.ts';
import { closedPressure, moveOpen } from '../../../src/domain/estimate/motion.ts';
import { weightedQuantiles } from '../../../src/domain/estimate/quantiles.ts';
import type { StepEvent } from '../../../src/domain/estimate/types.ts';
import { nameLeak } from '../../../src/domain/estimate/walk.ts';
import { normalise, renew } from '../../../src/domain/estimate/weights.ts';
import { aCloud, anAround, aStep, carbonating } from './kegs.ts';

describe('chance', () => {
  test('is uniform and normal in its first moments', () => {
    const dice = createDice(seedWords(7));
    const many = 20_000;
    const uniform = Array.from({ length: many }, () => dice.next());
    const normal = Array.from({ length: many }, () => dice.normal());
    const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
    // Three standard errors of a mean and of a variance.
    expect(Math.abs(mean(uniform) - 0.5)).toBeLessThan(3 / Math.sqrt(12 * many));
    expect(Math.abs(mean(normal))).toBeLessThan(3 / Math.sqrt(many));
    expect(Math.abs(mean(normal.map((value) => value * value)) - 1)).toBeLessThan(3 * Math.sqrt(2 / many));
  });

  test('goes on where it stood', () => {
    const dice = createDice(seedWords(7));
    dice.normal();
    const again = createDice(dice.words());
    expect([again.next(), again.normal()]).toEqual([dice.next(), dice.normal()]);
    expect(createDice([]).next()).toBeLessThan(1);
  });

  test('differs between seeds next to each other', () => {
    expect(createDice(seedWords(1)).next()).not.toBe(createDice(seedWords(2)).next());
    expect(seedWords(0).every((word) => word !== 0)).toBe(true);
  });
});

describe('quantiles', () => {
  test('of evenly spread values lie where they should', () => {
    const values = Float64Array.from({ length: 2001 }, (_, index) => 1 + index / 1000);
    const [low, middle, high] = weightedQuantiles(values, new Float64Array(2001).fill(1), [0.05, 0.5, 0.95]);
    expect(low).toBeCloseTo(1.1, 2);
    expect(middle).toBeCloseTo(2, 2);
    expect(high).toBeCloseTo(2.9, 2);
  });

  test('follow the weights', () => {
    const values = Float64Array.from([1, 2, 3]);
    expect(weightedQuantiles(values, Float64Array.from([0, 0, 1]), [0.5])[0]).toBeCloseTo(3, 1);
    expect(weightedQuantiles(values, Float64Array.from([1, 0, 0]), [0.5])[0]).toBeCloseTo(1, 1);
  });

  test('of one value is that value, and the last is the greatest', () => {
    expect(weightedQuantiles(new Float64Array(9).fill(2), new Float64Array(9).fill(1), [0.1, 0.9])).toEqual([2, 2]);
    expect(weightedQuantiles(Float64Array.from([1, 2]), Float64Array.from([1, 1]), [2])[0]).toBeCloseTo(2, 9);
  });
});

describe('renewal', () => {
  const renewal = () => ({
    totalM3: 0.0195,
    dice: createDice(seedWords(1)),
    solubility: solubilityPerPa(4),
    energy: 8.31446 * 277.15,
    unseen: { zeroPa: 2000, eta: 0.009 },
    leaksBegin: false,
  });
  const weighed = () => {
    const cloud = aCloud(1000);
    const { gas, space, logWeight } = cloud.columns;
    for (let index = 0; index < cloud.size; index += 1) {
      const content = 1 + index / 1000;
      fillEvenly(cloud, index, content);
      gas[index] = (150_000 * at(space, index)) / renewal().energy;
      logWeight[index] = at(logWeight, index) - 0.5 * ((content - 1.4) / 0.05) ** 2;
    }
    return cloud;
  };
  const moments = (values: readonly number[], weights: Float64Array) => {
    const total = weights.reduce((sum, weight) => sum + weight, 0);
    const mean = values.reduce((sum, value, index) => sum + value * at(weights, index), 0) / total;
    const variance = values.reduce((sum, value, index) => sum + (value - mean) ** 2 * at(weights, index), 0) / total;
    return { mean, sd: Math.sqrt(variance) };
  };

  test('keeps the mean, the spread and the mass of what is believed', () => {
    const cloud = weighed();
    const weights = new Float64Array(cloud.size);
    const leaking = normalise(cloud, weights);
    const contents = () => Array.from(weights, (_, index) => contentOf(cloud, index)).slice(0, cloud.tight);
    const before = moments(contents(), weights.subarray(0, cloud.tight));
    renew(cloud, weights, leaking, { ...renewal(), unseen: null });
    const after = moments(contents(), weights.subarray(0, cloud.tight));
    expect(Math.abs(after.mean - before.mean)).toBeLessThan(0.01);
    expect(after.sd / before.sd).toBeGreaterThan(0.85);
    expect(after.sd / before.sd).toBeLessThan(1.15);
    expect(weights.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 2);
  });

  test('leaves what the gauge shows as it is', () => {
    const cloud = weighed();
    const { zero } = cloud.columns;
    const weights = new Float64Array(cloud.size);
    renew(cloud, weights, normalise(cloud, weights), renewal());
    for (let index = 0; index < cloud.tight; index += 1) {
      expect(closedPressure(cloud, index, renewal().energy) + at(zero, index)).toBeCloseTo(150_000, 0);
    }
  });

  test('never rules a leak out, and keeps its particles leaking', () => {
    const cloud = aCloud(1000);
    for (let index = cloud.tight; index < cloud.size; index += 1) cloud.columns.logWeight[index] = -60;
    const weights = new Float64Array(cloud.size);
    renew(cloud, weights, normalise(cloud, weights), renewal());
    expect(normalise(cloud, weights)).toBeGreaterThan(0.0035);
    for (let index = 0; index < cloud.size; index += 1) {
      expect(at(cloud.columns.leak, index) > 0).toBe(index >= cloud.tight);
    }
  });
});

describe('a cloud', () => {
  test('is copied whole and then goes its own way', () => {
    const cloud = aCloud(20);
    const copy = copyCloud(cloud);
    expect(packCloud(copy)).toEqual(packCloud(cloud));
    copy.columns.top.fill(9);
    expect(contentOf(cloud, 0)).not.toBe(contentOf(copy, 0));
  });

  test('shares with its copies only what neither has written', () => {
    const keg = carbonating(20);
    const before = JSON.stringify(keg.snapshot());
    const copies = [keg.copy(), keg.copy().copy()];
    const atMs = 20 * 300_000;
    const deeds: readonly (readonly StepEvent[])[] = [
      [{ kind: 'drawn', atMs, litres: 2 }],
      [{ kind: 'probe-zeroed', atMs }],
      [{ kind: 'weighed', atMs, kg: 22, plusMinusKg: 0.01 }],
      [{ kind: 'sample-measured', atMs, volumes: 1.4, plusMinus: 0.03 }],
      [{ kind: 'gas-check-started', atMs, shaken: true }],
    ];
    const whole = deeds.map((events) => {
      const twin = Estimator.resume(JSON.parse(before));
      const copy = (copies[0] ?? keg).copy();
      for (const one of [twin, copy]) {
        one.advance(aStep(20, { events }));
        for (let index = 21; index < 40; index += 1)
          one.advance(aStep(index, { headspaceKpaGauge: 70 - (index - 20) }));
      }
      expect(JSON.stringify(copy.snapshot())).toBe(JSON.stringify(twin.snapshot()));
      return JSON.stringify(twin.snapshot());
    });
    expect(new Set(whole).size).toBe(deeds.length);
    for (const one of [keg, ...copies]) expect(JSON.stringify(one.snapshot())).toBe(before);
  });

  test('kept as plain numbers comes back the same, and is refused if part of it is missing', () => {
    const packed = packCloud(aCloud(20));
    expect(packCloud(unpackCloud(packed))).toEqual(packed);
    const { bulk: _bulk, ...columns } = packed.columns;
    expect(() => unpackCloud({ ...packed, columns })).toThrow('bulk is not whole');
  });

  test('has nothing beyond its end', () => {
    expect(at(Float64Array.of(1, 2), 2)).toBe(0);
  });
});

test('the word on a leak comes late and goes later, so that it does not flicker', () => {
  const course = { leak: 'none', leakProbability: 0 } as Parameters<typeof nameLeak>[0];
  const words = [0.3, 0.5, 0.3, 0.2, 0.3, 0.96, 0.7, 0.5, 0.26, 0.1].map((belief) => {
    course.leakProbability = belief;
    nameLeak(course);
    return course.leak;
  });
  expect(words).toEqual([
    ...['none', 'suspected', 'suspected', 'none', 'none'],
    ...['likely', 'likely', 'suspected', 'suspected', 'none'],
  ]);
});

test('the law holds at the ends of its range', () => {
  expect(solubilityPerPa(-20)).toBe(solubilityPerPa(-3));
  expect(solubilityPerPa(80)).toBe(solubilityPerPa(40));
});

test('a step on gas costs little more than moving its particles, so that nothing grows with the length of the story', () => {
  const keg = carbonating(100, 1000);
  const cloud = aCloud(1000);
  const around = anAround();
  let index = 100;
  const steps = () => {
    for (let turn = 0; turn < 100; turn += 1) keg.advance(aStep(index++));
  };
  const moves = () => {
    for (let turn = 0; turn < 100; turn += 1) moveOpen(cloud, 0, cloud.size, around);
  };
  // Processor time, the best of six, as other work on the machine only ever adds; the first rounds also warm both up.
  const best = (work: () => void) => {
    const times = Array.from({ length: 6 }, () => {
      const before = process.cpuUsage();
      work();
      const { user, system } = process.cpuUsage(before);
      return user + system;
    });
    return Math.min(...times);
  };
  expect(best(steps) / best(moves)).toBeLessThan(6);
});
