import { at } from '../estimate/cloud.ts';
import type { HoursAhead } from '../estimate/types.ts';

/** How the beer is now and how its fridge treats it. */
export interface ColdBasis {
  readonly beerC: number;
  /** What the fridge was last set to (°C); null if nobody said. */
  readonly fridgeC: number | null;
  /** True while the beer is still on its way to what the fridge is set to. */
  readonly moving: boolean;
  /** Wished fill temperature and what still counts as it (°C). */
  readonly goalC: number;
  readonly limitC: number;
  /** The coldest that the beer may be (°C). */
  readonly safeC: number;
  /** How fast the keg follows its fridge (h); null: never seen. */
  readonly cooling: HoursAhead | null;
  readonly litres: number;
  readonly hours: number;
}

/** How the beer gets cold. */
export interface ColdWay {
  /** What to set the fridge to (°C); null: leave it. */
  readonly setC: number | null;
  /** Where the beer ends (°C). */
  readonly endC: number;
  readonly tauH: HoursAhead;
  /** Likely hours until it is cold enough, with their range, if chilling begins now; zero: it is. */
  readonly coldIn: HoursAhead;
  /** Hours from now until which chilling can wait and most likely still be in time; below zero: too late for that. */
  readonly slackH: number;
  /** How likely it is cold enough at the hour. */
  readonly probability: number;
  /** False if this beer would freeze before it is that cold. */
  readonly safe: boolean;
}

/** A fridge is set this far below the fill temperature: beer only creeps up to what its fridge is set to (°C). Chosen, no source. */
const BELOW_GOAL_K = 0.7;
/** Set lower than this below the goal it is left as it is (°C). */
const LOW_ENOUGH_K = 0.4;
/** How far beer that stands still can be off its fridge's setting (°C); farther off, nothing can be learnt from it. */
const OFFSET_MAX_K = 1.5;
/** Spread of where the beer ends about that (K). */
const END_SPREAD_K = 0.3;
/** Ratio of the range to the middle while nothing was seen of the keg. @source as the prior of `estimate/cooling` */
const UNSEEN_RATIO = 1.93;
const SMALL_TAU_H = 10;
const LARGE_TAU_H = 16;
const LARGE_L = 40;
/** Five even steps through a normal distribution. @source its quantiles at 10, 30, 50, 70, 90 % */
const FIFTHS = [-1.2816, -0.5244, 0, 0.5244, 1.2816] as const;
const LONGEST_H = 24 * 14;

export function coldWay(basis: ColdBasis): ColdWay {
  const { beerC, fridgeC, moving, goalC, limitC, safeC, hours } = basis;
  const settled = fridgeC !== null && !moving && Math.abs(beerC - fridgeC) <= OFFSET_MAX_K;
  const offset = settled && fridgeC !== null ? beerC - fridgeC : 0;
  const wanted = Math.round(2 * Math.max(safeC, goalC - BELOW_GOAL_K - offset)) / 2;
  const colder = wanted < safeC ? wanted + 0.5 : wanted;
  const isCold = beerC <= limitC;
  const stays = isCold && !moving;
  const lowEnough = fridgeC !== null && fridgeC + offset <= goalC - LOW_ENOUGH_K;
  const setC = stays || lowEnough ? null : colder;
  const endC = stays ? beerC : (lowEnough ? fridgeC : colder) + offset;
  const tauH = basis.cooling ?? unseen(basis.litres);
  const times = spread(tauH, endC).map(([tau, end]) => hoursTo(beerC, end, limitC, tau));
  const sorted = Float64Array.from(times).sort();
  const pick = (share: number) => Math.min(LONGEST_H, at(sorted, Math.floor(share * sorted.length)));
  return {
    setC,
    endC,
    tauH,
    coldIn: { hours: pick(0.5), lowHours: pick(0.05), highHours: pick(0.95) },
    slackH: hours - pick(0.9),
    probability: stays ? 1 : times.filter((time) => time <= hours).length / times.length,
    safe: safeC <= limitC,
  };
}

/** Beer's temperature after hours of chilling (°C). @source as `relaxTemperature` of `physics/cooling` */
export function beerAfter(way: Pick<ColdWay, 'endC' | 'tauH'>, beerC: number, hours: number): number {
  return way.endC + (beerC - way.endC) * Math.exp(-hours / way.tauH.hours);
}

function unseen(litres: number): HoursAhead {
  const hours = litres >= LARGE_L ? LARGE_TAU_H : SMALL_TAU_H;
  return { hours, lowHours: hours / UNSEEN_RATIO, highHours: hours * UNSEEN_RATIO };
}

/** Time constants and ends that are equally likely. */
function spread(tauH: HoursAhead, endC: number): (readonly [number, number])[] {
  const lnSpread = Math.log(tauH.highHours / tauH.lowHours) / 3.29;
  return FIFTHS.flatMap((slow) =>
    FIFTHS.map((warm) => [tauH.hours * Math.exp(lnSpread * slow), endC + END_SPREAD_K * warm] as const),
  );
}

function hoursTo(startC: number, endC: number, goalC: number, tauH: number): number {
  if (startC <= goalC) return 0;
  return endC >= goalC ? Number.POSITIVE_INFINITY : tauH * Math.log((startC - endC) / (goalC - endC));
}
