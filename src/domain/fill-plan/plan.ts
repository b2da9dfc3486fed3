/** The way back from the hour at which somebody wants to fill: what to do when, and how likely it comes right. */
import { weightedQuantiles } from '../estimate/quantiles.ts';
import { cautionsOf } from './cautions.ts';
import { type Needs, needsOf } from './needs.ts';
import { reasonOf } from './reason.ts';
import { setPoints } from './set-points.ts';
import { stepsOf } from './steps.ts';
import type { FillPlan, PlanBasis } from './types.ts';
import { type Ways, waysOf } from './ways.ts';

const HOUR_MS = 3_600_000;
/** An hour is called possible from here on. */
export const POSSIBLE_MIN = 0.5;
/** Later hours that are looked at where the wished one is not possible (h after it). */
const LATER_H = [6, 12, 24, 48, 72, 120, 168, 240] as const;
/** An hour that was held to be possible before stays so a little longer: the estimate trembles. */
const NEVER_SURE = 0.97;

/** Works out the plan. Costs some hundred ways of 96 kegs: a tenth of a second. */
export function fillPlan(basis: PlanBasis): FillPlan {
  const ways = waysOf(basis, basis.fillAtMs);
  const atHour = quantilesOf(ways.gas.atHour);
  const beerC = Math.min(ways.cold.endC, basis.facts.target.celsius);
  const points = setPoints({
    servingKpaGauge: ways.servingKpa,
    beerC,
    volumes: atHour.volumes,
    ambientKpaAbsolute: basis.ambientKpaAbsolute,
    co2Ratio: basis.co2Ratio,
    line: basis.line,
    bottles: basis.bottles,
  });
  const needs = needsOf({
    bottles: basis.bottles,
    setPoints: points,
    beerLeftL: basis.beerLeftL,
    gasLeftKg: basis.gasLeftKg,
    uptakeVolumes: atHour.volumes - basis.dissolved.volumes,
    beerC,
    ambientKpaAbsolute: basis.ambientKpaAbsolute,
  });
  const enough = isEnough(needs);
  const passed = basis.fillAtMs <= basis.nowMs;
  const probability = passed || !enough ? 0 : Math.min(NEVER_SURE, ways.probability);
  const possible = probability >= POSSIBLE_MIN;
  const later = possible || passed || !enough ? null : nextPossible(basis);
  return {
    fillAtMs: basis.fillAtMs,
    possible,
    probability,
    reason: reasonOf({ basis, ways, needs, possible, probability, passed, enough, later }),
    steps: passed || !enough ? [] : stepsOf(basis, ways, needs, points),
    needs,
    setPoints: points,
    cautions: cautionsOf(basis, ways, needs, points),
    insideBetween: insideBetween(basis, ways),
    atHour,
  };
}

function isEnough({ beerLeftL, beerL }: Needs): boolean {
  return beerLeftL === null || beerLeftL >= beerL;
}

function nextPossible(basis: PlanBasis): number | null {
  for (const hours of LATER_H) {
    const fillAtMs = basis.fillAtMs + hours * HOUR_MS;
    if (waysOf(basis, fillAtMs).probability >= POSSIBLE_MIN) return fillAtMs;
  }
  return null;
}

function insideBetween({ nowMs, dissolved, facts }: PlanBasis, { gas }: Ways): FillPlan['insideBetween'] {
  if (gas.insideIn === null || (dissolved.volumes >= facts.target.low && dissolved.volumes <= facts.target.high)) {
    return null;
  }
  const { hours, lowHours, highHours } = gas.insideIn;
  const at = (hour: number) => nowMs + hour * HOUR_MS;
  return { fromMs: at(lowHours), likelyMs: at(hours), untilMs: at(highHours) };
}

function quantilesOf(contents: Float64Array): FillPlan['atHour'] {
  const even = new Float64Array(contents.length).fill(1 / contents.length);
  const [low = 0, volumes = 0, high = 0] = weightedQuantiles(contents, even, [0.05, 0.5, 0.95]);
  return { low, volumes, high };
}
