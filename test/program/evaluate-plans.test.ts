/**
 * Aim: a fill plan keeps what it promises on kegs that the planner does not know.
 * Method: simulated kegs that follow other laws than the estimate's own are planned for and filled by the plan. A dozen, so
 * the bounds stand off what many give; `npm run evaluate -- --plans --seeds 200` judges the whole.
 */
import { expect, test } from 'vitest';
import type { PlanRun, PlanScore } from '../../src/app/plan-score.ts';
import { scorePlans } from '../../src/app/plan-score.ts';
import { evaluatePlans } from '../../src/cli/evaluate-plans.ts';

const LONG_MS = 240_000;

async function evaluated(kegs: number, asJson: boolean): Promise<string> {
  let printed = '';
  const io = {
    out: (text: string) => {
      printed += text;
    },
    err: () => undefined,
  };
  expect(await evaluatePlans(kegs, asJson, io)).toBe(0);
  return printed;
}

test(
  'a dozen kegs filled by their plans: what was called possible was ready, and truly inside',
  async () => {
    const score: PlanScore & { runs: PlanRun[] } = JSON.parse(await evaluated(12, true));
    expect(score.runs).toHaveLength(12);
    expect(score.calledPossible).toBeGreaterThanOrEqual(8);
    // Of 200 nine tenths and more are ready; of a dozen one or two may fail by chance.
    expect(score.readyShare).toBeGreaterThanOrEqual(0.8);
    expect(score.insideShare).toBeGreaterThanOrEqual(0.8);
    expect(score.calledShare).toBeGreaterThanOrEqual(0.7);
    // A plan is worked out every quarter of an hour at most; the bound is for machines ten times as slow.
    expect(score.planCpuMsMax).toBeLessThan(3000);
  },
  LONG_MS,
);

test(
  'the same as text, for one keg',
  async () => {
    expect(await evaluated(1, false)).toMatch(/^Fill plans for 1 simulated kegs.*\n\nCalled possible: [01]\./);
  },
  LONG_MS,
);

test('shares are counted by hand', () => {
  const aRun = (possible: boolean, couldBeMet: boolean, ready: boolean, inside = ready): PlanRun => ({
    ...{ seed: 1, hours: 48, possible, probability: possible ? 0.9 : 0.2, reason: '', couldBeMet, planCpuMsMax: 5 },
    outcome: possible ? { ready, amiss: [], chartVolumes: 2.2, inside, beerC: 2, checks: 1, plans: 4 } : null,
  });
  const score = scorePlans([
    aRun(true, true, true),
    aRun(true, true, false, true),
    aRun(true, false, false),
    aRun(false, true, false),
    aRun(false, false, false),
  ]);
  expect(score).toMatchObject({ kegs: 5, calledPossible: 3, ready: 1, inside: 2, couldBeMet: 3, calledInVain: 1 });
  expect(score.readyShare).toBeCloseTo(1 / 3, 9);
  expect(score.calledShare).toBeCloseTo(2 / 3, 9);
  expect(score.calibration.find(({ from }) => from === 0.85)).toMatchObject({ kegs: 3, ready: 1 });
});
