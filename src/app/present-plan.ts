import type * as contract from '../contract/index.ts';
import type { BottleGroup } from '../domain/fill-plan/bottles.ts';
import type { FillPlan } from '../domain/fill-plan/types.ts';
import type { Target } from '../domain/keg-facts.ts';
import { instant } from './present.ts';

/** What stands beside a plan: whose it is, for what, and when it was worked out. */
export interface PlanFrame {
  readonly kegId: string;
  readonly nowMs: number;
  readonly bottles: readonly BottleGroup[];
  readonly target: Target;
}

/** JSON knows no infinity: a bottle that never fills has no time. */
const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);

export function presentPlan(plan: FillPlan, { kegId, nowMs, bottles, target }: PlanFrame): contract.FillPlan {
  const { insideBetween, setPoints } = plan;
  return {
    kegId,
    at: instant(nowMs),
    fillAt: instant(plan.fillAtMs),
    bottleGroups: bottles.map(({ count, litres }) => ({ count, litres })),
    possible: plan.possible,
    probability: plan.probability,
    reason: plan.reason,
    steps: plan.steps.map(({ atMs, earliestMs, latestMs, kind, by, what, value, unit, why }) => ({
      ...{ at: instant(atMs), earliest: instant(earliestMs), latest: instant(latestMs) },
      ...{ what, value, unit, why, kind, by },
    })),
    needs: { ...plan.needs },
    setPoints: {
      ...setPoints,
      secondsPerBottle: setPoints.secondsPerBottle.map(({ litres, seconds, slowSeconds }) => ({
        litres,
        seconds: finite(seconds),
        slowSeconds: finite(slowSeconds),
      })),
    },
    target: { low: target.low, high: target.high, volumes: target.volumes, celsius: target.celsius },
    insideBetween:
      insideBetween === null
        ? null
        : {
            from: instant(insideBetween.fromMs),
            likely: instant(insideBetween.likelyMs),
            until: instant(insideBetween.untilMs),
          },
    atHour: { ...plan.atHour },
    cautions: [...plan.cautions],
  };
}
