import { equilibriumOrNull, pressureForOrNull } from '../equilibrium.ts';
import { coldestSafeC } from '../verdict/freezing-margin.ts';
import { beerAfter, type ColdWay, coldWay } from './cold-way.ts';
import { type GasWay, gasWay, SETTLE_H } from './gas-way.ts';
import type { PlanBasis } from './types.ts';

const HOUR_MS = 3_600_000;
/** Pressures that are used to be quicker (kPa gauge): 20 and 30 psi. Common practice, no source. */
const QUICK_KPA = [138, 207] as const;
/** A pressure this far above serving is a raised one that is on already (kPa). */
const RAISED_KPA = 12;
/** A serving pressure stays so far inside its limits (kPa): no gauge is without error. */
const INSIDE_KPA = 3;
/** After the gas was touched the probe shows the regulator's pressure, and not the way there (h). */
const STEADY_H = 12;
/** A check tells little more than the last one did before so many hours. */
const CHECK_AGAIN_H = 24;
/** A closed keg should not come below this (kPa gauge): the lid is pressed tight by it. Chosen, no source. */
const CHECKED_KPA = 8;
/** A pressure must be so much lower to be worth another turn of the regulator (kPa). */
const GENTLER_KPA = 4;
/** A regulator that stands within this of what it should be is left alone (kPa): finer it can hardly be set. */
export const SAME_KPA = 3;
const USUAL_KEG_L = 19;
/** A gas check that goes on is ended after so long (h). */
export const CHECK_HOURS = 12;

/** How everything but the session comes about. */
export interface Ways {
  readonly cold: ColdWay;
  readonly gas: GasWay;
  readonly servingKpa: number;
  /** Where the beer ends in the middle of its window, if that is below serving pressure (kPa gauge). */
  readonly gentleKpa: number | null;
  /** Hours of rest that are missing at the hour, whatever is done; 0: none. */
  readonly restMissingH: number;
  readonly probability: number;
}

export function waysOf(basis: PlanBasis, fillAtMs: number): Ways {
  const { facts, limits, nowMs, beerC, scouts } = basis;
  const hours = Math.max(0, (fillAtMs - nowMs) / HOUR_MS);
  const cold = coldWay({
    beerC,
    fridgeC: facts.fridgeCelsius,
    moving: basis.cooling,
    goalC: facts.target.celsius,
    limitC: facts.target.celsius + limits.coldMarginC,
    safeC: coldestSafeC(basis.abvPercent),
    cooling: basis.coolingConstant,
    litres: facts.beer?.filledLitres ?? USUAL_KEG_L,
    hours,
  });
  const servingKpa = servingPressure(basis, Math.min(cold.endC, facts.target.celsius + limits.coldMarginC));
  const gentleKpa = gentlePressure(basis, Math.min(cold.endC, facts.target.celsius + limits.coldMarginC), servingKpa);
  const gas = gasWay({
    scouts,
    hours,
    window: facts.target,
    beerC: (hour) => beerAfter(cold, beerC, hour),
    servingKpa: steadyKpa(basis, servingKpa) ?? servingKpa,
    gentleKpa: gentleKpa === null ? null : (steadyKpa(basis, gentleKpa) ?? gentleKpa),
    quickKpa: quickPressures(basis, servingKpa),
    checkEndsInH: checkEndsInH(basis, hours),
    mayCheck: basis.mayCheck,
    checkAgainH: checkAgainH(basis),
    checkableVolumes: (hour) =>
      equilibriumOrNull(beerAfter(cold, beerC, hour), CHECKED_KPA, basis.ambientKpaAbsolute, basis.co2Ratio) ?? 0,
    awake: (hour) => basis.awakeAt(nowMs + hour * HOUR_MS),
  });
  const restMissingH = Math.max(0, limits.restHours - (fillAtMs - (facts.rest?.sinceMs ?? nowMs)) / HOUR_MS);
  // The keg comes down from a higher pressure by itself, but not at once.
  const tooHigh = isRaised(basis, servingKpa) && hours < SETTLE_H / 2;
  const held = restMissingH > 0 || !cold.safe || tooHigh ? 0 : 1;
  return { cold, gas, servingKpa, gentleKpa, restMissingH, probability: held * cold.probability * gas.probability };
}

/**
 * What the keg has stood at for long enough, with the regulator set so (kPa gauge): no two gauges agree, and the probe's is the
 * one that counts. Null while nothing is known of that.
 */
export function steadyKpa({ facts, headspaceKpaGauge, gasSinceMs, nowMs }: PlanBasis, setKpa: number): number | null {
  const { gas, regulatorKpaGauge: entered } = facts;
  if (gas !== 'on' || headspaceKpaGauge === null || entered === null || Math.abs(entered - setKpa) > SAME_KPA) {
    return null;
  }
  const isYoung = gasSinceMs !== null && nowMs - gasSinceMs < STEADY_H * HOUR_MS;
  return isYoung || Math.abs(headspaceKpaGauge - setKpa) > RAISED_KPA ? null : headspaceKpaGauge;
}

function checkAgainH({ lastCheckMs, nowMs }: PlanBasis): number {
  if (lastCheckMs === null) return 0;
  return Math.max(0, CHECK_AGAIN_H - (nowMs - lastCheckMs) / HOUR_MS);
}

export const isRaised = (basis: Pick<PlanBasis, 'headspaceKpaGauge'>, servingKpa: number): boolean =>
  basis.headspaceKpaGauge !== null && basis.headspaceKpaGauge > servingKpa + RAISED_KPA;

/**
 * The pressure at which bottles are filled (kPa gauge): that of the window's middle at the fill temperature, moved as
 * little as it takes to serve gently. Where no pressure does both, the window wins.
 */
function servingPressure({ facts, limits, ambientKpaAbsolute, co2Ratio }: PlanBasis, fillC: number): number {
  const { target } = facts;
  const at = (volumes: number) =>
    pressureForOrNull(volumes, fillC, ambientKpaAbsolute, co2Ratio) ?? limits.servingKpaLow;
  const low = Math.max(at(target.low), limits.servingKpaLow + INSIDE_KPA);
  const high = Math.min(at(target.high), limits.servingKpaHigh - INSIDE_KPA);
  const middle = at(target.volumes);
  return Math.max(0, low > high ? middle : Math.min(high, Math.max(low, middle)));
}

/** Where a keg below its serving pressure ends in the middle of its window. */
function gentlePressure(basis: PlanBasis, fillC: number, servingKpa: number): number | null {
  const { facts, ambientKpaAbsolute, co2Ratio } = basis;
  const middle = pressureForOrNull(facts.target.volumes, fillC, ambientKpaAbsolute, co2Ratio);
  return middle === null || middle > servingKpa - GENTLER_KPA || middle < CHECKED_KPA ? null : middle;
}

function quickPressures(basis: PlanBasis, servingKpa: number): number[] {
  const most = Math.min(basis.workingKpaGaugeMax ?? Number.POSITIVE_INFINITY, 2 * QUICK_KPA[1]);
  if (basis.othersOnGas.length > 0) return [];
  const now = basis.facts.regulatorKpaGauge;
  // What is on already is kept on rather than turned down a little and up again.
  const on = now !== null && now > servingKpa + RAISED_KPA && now <= QUICK_KPA[1] + RAISED_KPA ? now : null;
  const higher = QUICK_KPA.filter((kpa) => kpa > (on ?? servingKpa) + RAISED_KPA);
  return [...(on === null ? [] : [on]), ...higher].filter((kpa) => kpa <= most);
}

function checkEndsInH(basis: PlanBasis, hours: number): number | null {
  const { checkSinceMs, nowMs } = basis;
  if (checkSinceMs === null) return null;
  // A keg without pressure draws air in: what the check could tell is not worth that.
  if (basis.headspaceKpaGauge !== null && basis.headspaceKpaGauge < CHECKED_KPA / 2) return 0;
  const left = CHECK_HOURS - (nowMs - checkSinceMs) / HOUR_MS;
  return Math.max(0, Math.min(left, hours - 3));
}
