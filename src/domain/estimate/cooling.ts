/**
 * When the beer will be cold: one lump that cools towards the fridge's temperature,
 * T(t) = T∞ + (T0 − T∞) exp(−(t − t0)/τ), its three constants found from what was measured so far and from what is usual.
 * @source Incropera and DeWitt, chapter 5, lumped capacitance; Gauss-Newton as in any text on least squares
 */
import type { Filling, HoursAhead } from './types.ts';

const HOUR_MS = 3_600_000;
/** What is usual: a keg of 19 L in a still fridge takes about 10 h, one of 50 L or more 16 h (common practice, no source). */
const SMALL_TAU_H = 10;
const LARGE_TAU_H = 16;
const LARGE_L = 40;
const LN_TAU_SPREAD = 0.4;
/** Spread of the fridge's temperature about what it is set to; about anything, where it is not known (K). */
const SET_SPREAD_K = 0.4;
const UNSET_C = 4;
const UNSET_SPREAD_K = 4;
/** Spread of what was entered as the beer's temperature at the start (K). */
const START_SPREAD_K = 1.5;
/** Spread of the data about one lump (K): neighbouring readings err alike, so that two hours of them count as one. */
const DATA_SPREAD_K = 0.15;
const INDEPENDENT_H = 2;
/** Readings of a quarter of an hour are taken together; the last five days are kept. */
const BIN_MS = HOUR_MS / 4;
const KEPT_BINS = 480;
/** A rise by so much over the lowest of the last hours means that cooling began anew: moved, failed, door open (K). */
const ANEW_K = 1.5;
/** What is within this of the goal counts as never reached, if it is the fridge's own temperature (K). */
const NEVER_K = 0.02;
const LONGEST_H = 24 * 14;
/** At most so many steps towards the most likely law, which ends sooner where a step is as small as this (K, ln h). */
const ROUNDS = 12;
const CLOSE = 1e-4;

interface Bin {
  readonly atMs: number;
  readonly beerC: number;
  readonly count: number;
}

interface Kept {
  readonly bins: readonly Bin[];
  readonly setC: number | null;
  readonly startC: number | null;
  readonly litres: number;
  readonly place: Filling['thermometer'];
  /** Beginning of the cooling that is watched; null: nothing measured yet. */
  readonly sinceMs: number | null;
  readonly anew: boolean;
}

export interface CoolingEstimate {
  /** Takes a beer temperature (degC). What is out of order or no temperature of beer is passed over. */
  observe(atMs: number, beerC: number): void;
  /** Hours from `nowMs` until the beer is at the goal; null: never, as far as can be told, or unknown. 0: it is. */
  hoursUntil(goalC: number, nowMs: number): HoursAhead | null;
  /** The keg's time constant (h) with its 90 % range; null: nothing measured yet. */
  timeConstant(): HoursAhead | null;
}

/**
 * `setC` is what the fridge is set to, `startC` the beer's temperature when it was put there, `litres` the keg's size. A
 * thermometer on the wall feels the fridge at first, so the start is as entered; one in the air says nothing of the beer's pace.
 */
export function createCoolingEstimate(
  setC: number | null,
  startC: number | null,
  litres: number,
  place: Filling['thermometer'],
): CoolingEstimate {
  let kept: Kept = { bins: [], setC, startC, litres, place, sinceMs: null, anew: false };
  return {
    observe: (atMs, beerC) => {
      kept = withReading(kept, atMs, beerC);
    },
    hoursUntil: (goalC, nowMs) => hoursUntil(kept, goalC, nowMs),
    timeConstant: () => timeConstant(kept),
  };
}

function withReading(kept: Kept, atMs: number, beerC: number): Kept {
  if (!Number.isFinite(atMs) || !Number.isFinite(beerC) || beerC < -10 || beerC > 50) return kept;
  const last = kept.bins.at(-1);
  if (last === undefined || atMs >= last.atMs + BIN_MS) {
    return startAnew({
      ...kept,
      sinceMs: kept.sinceMs ?? atMs,
      bins: [...kept.bins.slice(1 - KEPT_BINS), { atMs, beerC, count: 1 }],
    });
  }
  if (atMs < last.atMs) return kept;
  const count = last.count + 1;
  const merged = { atMs: last.atMs, beerC: last.beerC + (beerC - last.beerC) / count, count };
  return { ...kept, bins: [...kept.bins.slice(0, -1), merged] };
}

/** After a rise that has lasted half an hour, what was measured before it says nothing of the cooling to come. */
function startAnew(kept: Kept): Kept {
  if (kept.place === 'air' || kept.bins.length < 4) return kept;
  const recent = kept.bins.slice(-3, -1);
  const before = kept.bins.slice(-24, -3);
  const lowest = Math.min(...before.map(({ beerC }) => beerC));
  const first = recent[0];
  if (first === undefined || !recent.every(({ beerC }) => beerC > lowest + ANEW_K)) return kept;
  return { ...kept, bins: kept.bins.slice(-3), sinceMs: first.atMs, anew: true };
}

/** Start (degC), fridge (degC), ln of the time constant (ln h); or a row of a matrix of them. */
type Triple = readonly [number, number, number];
type Matrix = readonly [Triple, Triple, Triple];

interface Law {
  readonly values: Triple;
  readonly covariance: Matrix;
}

interface Normal {
  readonly mean: Triple;
  readonly spread: Triple;
}

function priorOf(kept: Kept, first: number): Normal {
  const tauH = kept.litres >= LARGE_L ? LARGE_TAU_H : SMALL_TAU_H;
  const entered = kept.startC !== null && Number.isFinite(kept.startC) && !kept.anew;
  const start = entered && kept.startC !== null ? kept.startC : first;
  const known = kept.setC !== null && Number.isFinite(kept.setC);
  return {
    mean: [start, known && kept.setC !== null ? kept.setC : UNSET_C, Math.log(tauH)],
    spread: [
      entered && kept.place !== 'thermowell' ? 0.5 : START_SPREAD_K,
      known ? SET_SPREAD_K : UNSET_SPREAD_K,
      LN_TAU_SPREAD,
    ],
  };
}

const dot = (row: Triple, other: Triple): number => row[0] * other[0] + row[1] * other[1] + row[2] * other[2];

/** Most likely constants, and how surely. @source Gauss-Newton with a Gaussian prior */
function bestLaw(kept: Kept, sinceMs: number, firstC: number): Law {
  const prior = priorOf(kept, firstC);
  // A thermometer in the air, or on the wall in the first hour, feels the fridge and not the beer.
  const skipMs = kept.place === 'wall' ? HOUR_MS : 0;
  const bins = kept.place === 'air' ? [] : kept.bins.filter(({ atMs }) => atMs >= sinceMs + skipMs);
  let values = prior.mean;
  for (let round = 1; ; round += 1) {
    const { left, right } = equationsOf(prior, values, bins, sinceMs);
    const covariance = invert(left);
    const step: Triple = [dot(covariance[0], right), dot(covariance[1], right), dot(covariance[2], right)];
    values = [
      values[0] + step[0],
      values[1] + step[1],
      Math.min(6, Math.max(-1, values[2] + Math.min(0.7, Math.max(-0.7, step[2])))),
    ];
    if (round === ROUNDS || step.every((move) => Math.abs(move) < CLOSE)) return { values, covariance };
  }
}

interface Equations {
  readonly left: Matrix;
  readonly right: Triple;
}

/** The normal equations of a step from `values`; one number a sum, as this runs through days of readings again and again. */
function equationsOf(prior: Normal, values: Triple, bins: readonly Bin[], sinceMs: number): Equations {
  const [start, fridge, lnTau] = values;
  const [p0, p1, p2] = [1 / prior.spread[0] ** 2, 1 / prior.spread[1] ** 2, 1 / prior.spread[2] ** 2];
  let [a00, a01, a02, a11, a12, a22] = [p0, 0, 0, p1, 0, p2];
  let b0 = (prior.mean[0] - start) * p0;
  let b1 = (prior.mean[1] - fridge) * p1;
  let b2 = (prior.mean[2] - lnTau) * p2;
  const perMs = 1 / (HOUR_MS * Math.exp(lnTau));
  const weight = BIN_MS / HOUR_MS / INDEPENDENT_H / DATA_SPREAD_K ** 2;
  for (const { atMs, beerC } of bins) {
    const elapsed = (atMs - sinceMs) * perMs;
    const decay = Math.exp(-elapsed);
    const rest = 1 - decay;
    const pace = (start - fridge) * decay * elapsed;
    const off = beerC - (fridge + (start - fridge) * decay);
    // What lies far off is a door, a defrosting, a wild value: it pulls less and less. @source Huber weights
    const pull = weight * Math.min(1, (3 * DATA_SPREAD_K) / Math.max(1e-9, Math.abs(off)));
    a00 += pull * decay * decay;
    a01 += pull * decay * rest;
    a02 += pull * decay * pace;
    a11 += pull * rest * rest;
    a12 += pull * rest * pace;
    a22 += pull * pace * pace;
    b0 += pull * decay * off;
    b1 += pull * rest * off;
    b2 += pull * pace * off;
  }
  return {
    left: [
      [a00, a01, a02],
      [a01, a11, a12],
      [a02, a12, a22],
    ],
    right: [b0, b1, b2],
  };
}

/** Inverse of a symmetric positive 3 by 3 matrix, by cofactors. */
function invert([[a, b, c], [, d, e], [, , f]]: Matrix): Matrix {
  const [p, q, r] = [d * f - e * e, c * e - b * f, b * e - c * d];
  const determinant = a * p + b * q + c * r;
  const [s, t, u] = [a * f - c * c, b * c - a * e, a * d - b * b];
  const over = (x: number, y: number, z: number): Triple => [x / determinant, y / determinant, z / determinant];
  return [over(p, q, r), over(q, s, t), over(r, t, u)];
}

function hoursUntil(kept: Kept, goalC: number, nowMs: number): HoursAhead | null {
  const { bins, sinceMs } = kept;
  const [first] = bins;
  const last = bins.at(-1);
  if (first === undefined || last === undefined || sinceMs === null) return null;
  if (!Number.isFinite(goalC) || !Number.isFinite(nowMs)) return null;
  if (kept.place !== 'air' && last.beerC <= goalC) return { hours: 0, lowHours: 0, highHours: 0 };
  const { values, covariance } = bestLaw(kept, sinceMs, first.beerC);
  const sinceH = (nowMs - sinceMs) / HOUR_MS;
  const middle = hoursOf(values, goalC);
  if (middle === null || middle - sinceH > LONGEST_H) return null;
  const spread = spreadOf(values, covariance, (law) => (hoursOf(law, goalC) ?? LONGEST_H + sinceH) - middle);
  const hours = Math.max(0, middle - sinceH);
  return {
    hours,
    lowHours: Math.max(0, hours - 1.645 * spread.low),
    highHours: Math.min(LONGEST_H, hours + 1.645 * spread.high),
  };
}

function timeConstant(kept: Kept): HoursAhead | null {
  const [first] = kept.bins;
  if (first === undefined || kept.sinceMs === null) return null;
  const { values, covariance } = bestLaw(kept, kept.sinceMs, first.beerC);
  const spread = Math.exp(1.645 * Math.sqrt(covariance[2][2]));
  const hours = Math.exp(values[2]);
  return { hours, lowHours: hours / spread, highHours: hours * spread };
}

/** Hours from the beginning of the cooling to the goal; null: never. */
function hoursOf([start, fridge, lnTau]: Triple, goalC: number): number | null {
  if (fridge >= goalC - NEVER_K) return null;
  return start <= goalC ? 0 : Math.exp(lnTau) * Math.log((start - fridge) / (goalC - fridge));
}

/** Spread of the hours either side, by a step along each principal column of the covariance: near the end they are lopsided. */
function spreadOf(values: Triple, covariance: Matrix, apart: (law: Triple) => number): { low: number; high: number } {
  let low = 0;
  let high = 0;
  for (const [x, y, z] of rootOf(covariance)) {
    const ahead = apart([values[0] + x, values[1] + y, values[2] + z]);
    const back = apart([values[0] - x, values[1] - y, values[2] - z]);
    low += Math.min(0, ahead, back) ** 2;
    high += Math.max(0, ahead, back) ** 2;
  }
  return { low: Math.sqrt(low), high: Math.sqrt(high) };
}

/** Columns whose outer products add up to a symmetric positive matrix. @source Cholesky */
function rootOf([[a, b, c], [, d, e], [, , f]]: Matrix): Matrix {
  const first = Math.sqrt(a);
  const [x, y] = [b / first, c / first];
  const second = Math.sqrt(d - x * x);
  const z = (e - x * y) / second;
  return [
    [first, x, y],
    [0, second, z],
    [0, 0, Math.sqrt(Math.max(0, f - y * y - z * z))],
  ];
}
