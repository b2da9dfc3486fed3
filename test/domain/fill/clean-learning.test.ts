import { beforeAll, describe, expect, test } from 'vitest';
import {
  type CleanLearning,
  type FillLesson,
  learnCleanFills,
  normalCdf,
  shareRange,
} from '../../../src/domain/fill/clean-learning.ts';
import { aUser, chanceOf, fillBottles, type User } from './simulated-users.ts';

const SEEDS = 100;
const FILLS = 12;
const USUAL_KPA = 69;

/** A user who fills again and again, and follows what was suggested once it is no longer "few data". */
function follow(seed: number): { readonly user: User; readonly learnt: readonly CleanLearning[] } {
  const chance = chanceOf(seed);
  const user = aUser(chance);
  const lessons: FillLesson[] = [];
  const learnt: CleanLearning[] = [learnCleanFills([])];
  for (let fill = 0; fill < FILLS; fill += 1) {
    const last = learnt.at(-1);
    const aimed = last === undefined || last.fewData ? USUAL_KPA : last.pressure.kpaGauge;
    lessons.push(fillBottles(user, aimed, chance));
    learnt.push(learnCleanFills(lessons));
  }
  return { user, learnt };
}

describe('on simulated users', () => {
  let users: readonly ReturnType<typeof follow>[] = [];
  beforeAll(() => {
    users = Array.from({ length: SEEDS }, (_, index) => follow(index + 1));
  }, 120_000);
  const having = (fills: number) =>
    users.map(({ user, learnt }) => ({ best: user.bestKpa, ...(learnt[fills] as CleanLearning) }));
  const meanError = (fills: number): number =>
    having(fills).reduce((sum, { best, pressure }) => sum + Math.abs(pressure.kpaGauge - best), 0) / SEEDS;
  const covered = (fills: number): number =>
    having(fills).filter(({ best, pressure }) => pressure.low <= best && best <= pressure.high).length;

  test('the suggestion moves to the pressure that suits', () => {
    expect(meanError(FILLS)).toBeLessThan(0.6 * meanError(0));
    expect(meanError(8)).toBeLessThan(meanError(3));
  });

  test('its range holds it in at least 85 of 100', () => {
    for (const fills of [5, 10, FILLS])
      expect({ fills, covered: covered(fills) >= 85 ? 'enough' : covered(fills) }).toEqual({
        fills,
        covered: 'enough',
      });
  });

  test('warmth is found to foam', () => {
    const sure = having(FILLS).filter(({ moreFoams }) => moreFoams.temperature > 0.9).length;
    const wrong = having(FILLS).filter(({ moreFoams }) => moreFoams.temperature < 0.1).length;
    expect(sure).toBeGreaterThanOrEqual(50);
    expect(wrong).toBeLessThanOrEqual(5);
  });
});

const lesson = (kpaGauge: number, foamy: number, change: Partial<FillLesson> = {}): FillLesson => ({
  bottles: 20,
  foamy,
  beerC: 2,
  kpaGauge,
  volumes: 2.3,
  restHours: 24,
  ...change,
});

describe('with little to go by', () => {
  test('the usual pressure is suggested, with a wide range, and said to be little', () => {
    const { fills, bottles, fewData, pressure } = learnCleanFills([]);
    expect({ fills, bottles, fewData }).toEqual({ fills: 0, bottles: 0, fewData: true });
    expect(Math.abs(pressure.kpaGauge - USUAL_KPA)).toBeLessThan(1.5);
    expect(pressure.high - pressure.low).toBeGreaterThan(40);
    expect(learnCleanFills([lesson(69, 2), lesson(75, 9), lesson(60, 8)]).fewData).toBe(true);
    expect(learnCleanFills(Array.from({ length: 8 }, () => lesson(69, 0, { bottles: 2 }))).fewData).toBe(true);
  });

  test('fills all at one pressure teach nothing of it', () => {
    const same = learnCleanFills(Array.from({ length: 6 }, () => lesson(69, 3)));
    expect(same.pressure.high - same.pressure.low).toBeGreaterThan(25);
    expect(learnCleanFills([lesson(69, 0, { bottles: 0 })]).fills).toBe(0);
  });

  test('what was not heard is taken as usual', () => {
    const unheard = lesson(69, 3, { volumes: null, restHours: null });
    expect(learnCleanFills([unheard])).toEqual(learnCleanFills([lesson(69, 3)]));
  });
});

describe('what foams', () => {
  test('is told apart where it was tried', () => {
    const warm = [1, 2, 3, 4, 5, 6].map((beerC) => lesson(69, beerC * 3, { beerC }));
    expect(learnCleanFills(warm).moreFoams.temperature).toBeGreaterThan(0.95);
    const rested = [2, 10, 20, 30, 40, 46].map((restHours) =>
      lesson(69, Math.round(18 - restHours / 3), { restHours }),
    );
    expect(learnCleanFills(rested).moreFoams.rest).toBeLessThan(0.2);
  });

  test('all of it, or none, is no reason to fail', () => {
    for (const foamy of [0, 20]) {
      const { pressure } = learnCleanFills(Array.from({ length: 30 }, (_, index) => lesson(30 + 4 * index, foamy)));
      expect(pressure.low).toBeLessThan(pressure.high);
    }
  });
});

describe('a share of bottles', () => {
  test('has the range of the Beta distribution', () => {
    // Beta(1, 4) before the first bottle: its quantiles are 1 - (1 - q)^(1/4), by hand.
    const { share, low, high } = shareRange([]);
    expect(share).toBeCloseTo(1 - 0.5 ** 0.25, 2);
    expect(low).toBeCloseTo(1 - 0.95 ** 0.25, 2);
    expect(high).toBeCloseTo(1 - 0.05 ** 0.25, 2);
  });

  test('is narrower with more fills, not with more bottles of one', () => {
    const width = (fills: Parameters<typeof shareRange>[0]) => shareRange(fills).high - shareRange(fills).low;
    const one = width([{ bottles: 20, foamy: 4 }]);
    expect(width([{ bottles: 200, foamy: 40 }])).toBeGreaterThan(0.8 * one);
    expect(width(Array.from({ length: 10 }, () => ({ bottles: 20, foamy: 4 })))).toBeLessThan(0.5 * one);
    expect(width([{ bottles: 0, foamy: 0 }])).toBe(width([]));
  });
});

test('the normal distribution agrees with its table', () => {
  // Abramowitz and Stegun, table 26.1 (from memory): 0.5, 0.8413447, 0.9772499, 0.0505 at -1.64.
  expect(normalCdf(0)).toBeCloseTo(0.5, 6);
  expect(normalCdf(1)).toBeCloseTo(0.8413447, 6);
  expect(normalCdf(2)).toBeCloseTo(0.9772499, 6);
  expect(normalCdf(-1.644854)).toBeCloseTo(0.05, 6);
});
