/**
 * When the beer will be cold: one lump that cools towards the fridge's temperature,
 * T(t) = T∞ + (T0 − T∞) exp(−(t − t0)/τ), its three constants found from what was measured so far and from what is usual.
 * @source Incropera and DeWitt, chapter 5, lumped capacitance; Gauss-Newton as in any text on least squares
 */
import type { Belief } from './learning.ts';
import { endsOf, type Lopsided } from './two-beliefs.ts';
import type { Filling, HoursAhead } from './types.ts';

const HOUR_MS = 3_600_000;
/** What is usual: a keg of 19 L in a still fridge takes about 10 h, one of 50 L or more 16 h (common practice, no source). */
const SMALL_TAU_H = 10;
const LARGE_TAU_H = 16;
const LARGE_L = 40;
const LN_TAU_SPREAD = 0.4;
/** What another beer, another place in the fridge adds to what was learnt of the keg (ln h). Chosen, no source. */
const WIDER_LN_TAU = 0.15;
/** Share of the belief that goes by what is usual all the same: it may be another fridge, or another keg. */
const DOUBTING = 0.2;
/** A batch teaches something if it cooled by as much (K), and its time constant came out as surely as this (ln h). */
const TAUGHT_FALL_K = 4;
const TAUGHT_SPREAD = 0.12;
/** 5 % and 95 % of a normal belief lie this many standard deviations from its middle. */
const NINE_IN_TEN = 1.645;
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
/** What one of them counts (1/K²). */
const BIN_WEIGHT = BIN_MS / HOUR_MS / INDEPENDENT_H / DATA_SPREAD_K ** 2;
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
  /** What the keg's last batch taught of it (ln h); null: nothing. */
  readonly learnt: Belief | null;
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
  /** ln of the time constant (ln h) for the keg's next batch; null: this cooling was too little to teach anything. */
  taught(): Belief | null;
}

/**
 * `setC` is what the fridge is set to, `startC` the beer's temperature when it was put there, `litres` the keg's size. A
 * thermometer on the wall feels the fridge at first, so the start is as entered; one in the air says nothing of the beer's pace.
 * `learnt` is what `taught` said at the end of the keg's last batch (ln h).
 */
export function createCoolingEstimate(
  setC: number | null,
  startC: number | null,
  litres: number,
  place: Filling['thermometer'],
  learnt: Belief | null = null,
): CoolingEstimate {
  const sound = learnt !== null && Number.isFinite(learnt.mean) && learnt.sd >= 0 ? learnt : null;
  let kept: Kept = { bins: [], setC, startC, litres, place, learnt: sound, sinceMs: null, anew: false };
  return {
    observe: (atMs, beerC) => {
      kept = withReading(kept, atMs, beerC);
    },
    hoursUntil: (goalC, nowMs) => hoursUntil(kept, goalC, nowMs),
    timeConstant: () => timeConstant(kept),
    taught: () => taught(kept),
  };
}

/** What is believed of a keg's time constant (h) before its batch is seen cooling. */
export function learntTimeConstant({ mean, sd }: Belief, litres: number): HoursAhead {
  return hoursOfLn([
    { middle: mean, low: Math.hypot(sd, WIDER_LN_TAU), high: Math.hypot(sd, WIDER_LN_TAU), share: 1 - DOUBTING },
    { middle: Math.log(usualTauH(litres)), low: LN_TAU_SPREAD, high: LN_TAU_SPREAD, share: DOUBTING },
  ]);
}

/** What a batch that did not cool hands on of what was learnt before it: it is a batch older then. */
export function handedOn({ mean, sd }: Belief): Belief {
  return { mean, sd: Math.hypot(sd, WIDER_LN_TAU) };
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

/** A law, and how much of the belief is in it. */
interface SharedLaw extends Law {
  readonly share: number;
}

const usualTauH = (litres: number): number => (litres >= LARGE_L ? LARGE_TAU_H : SMALL_TAU_H);

function priorOf(kept: Kept, first: number): Normal {
  const entered = kept.startC !== null && Number.isFinite(kept.startC) && !kept.anew;
  const start = entered && kept.startC !== null ? kept.startC : first;
  const known = kept.setC !== null && Number.isFinite(kept.setC);
  return {
    mean: [start, known && kept.setC !== null ? kept.setC : UNSET_C, Math.log(usualTauH(kept.litres))],
    spread: [
      entered && kept.place !== 'thermowell' ? 0.5 : START_SPREAD_K,
      known ? SET_SPREAD_K : UNSET_SPREAD_K,
      LN_TAU_SPREAD,
    ],
  };
}

const dot = (row: Triple, other: Triple): number => row[0] * other[0] + row[1] * other[1] + row[2] * other[2];

/** What counts of what was measured: a thermometer in the air, or on the wall in the first hour, feels the fridge and not the beer. */
function telling({ place, bins }: Kept, sinceMs: number): readonly Bin[] {
  const skipMs = place === 'wall' ? HOUR_MS : 0;
  return place === 'air' ? [] : bins.filter(({ atMs }) => atMs >= sinceMs + skipMs);
}

/**
 * The law by what is usual and, if something was learnt of the keg, the law by that, each with its share: what the readings
 * speak for grows. @source Laplace's approximation of the evidence, as in any text on Bayesian model comparison
 */
function likelyLaws(kept: Kept, sinceMs: number, firstC: number): readonly SharedLaw[] {
  const usual = priorOf(kept, firstC);
  const bins = telling(kept, sinceMs);
  const plain = bestLaw(usual, bins, sinceMs);
  if (kept.learnt === null) return [{ ...plain, share: 1 }];
  const { mean, sd } = kept.learnt;
  const learnt = {
    mean: [usual.mean[0], usual.mean[1], mean] as const,
    spread: [usual.spread[0], usual.spread[1], Math.hypot(sd, WIDER_LN_TAU)] as const,
  };
  const known = bestLaw(learnt, bins, sinceMs);
  const odds =
    Math.log((1 - DOUBTING) / DOUBTING) +
    lnEvidence(learnt, known, bins, sinceMs) -
    lnEvidence(usual, plain, bins, sinceMs);
  const share = 1 / (1 + Math.exp(-odds));
  return [
    { ...known, share },
    { ...plain, share: 1 - share },
  ];
}

/** ln of how likely the readings were under a prior, up to what is the same for all. */
function lnEvidence(prior: Normal, { values, covariance }: Law, bins: readonly Bin[], sinceMs: number): number {
  const [start, fridge, lnTau] = values;
  const limitK = 3 * DATA_SPREAD_K;
  let misfit = 0;
  for (const { atMs, beerC } of bins) {
    const elapsed = (atMs - sinceMs) / (HOUR_MS * Math.exp(lnTau));
    const off = Math.abs(beerC - (fridge + (start - fridge) * Math.exp(-elapsed)));
    misfit += BIN_WEIGHT * (off <= limitK ? off * off : limitK * (2 * off - limitK));
  }
  const away = prior.mean.reduce((sum, mean, index) => {
    const spread = prior.spread[index] ?? 1;
    return sum + (((values[index] ?? mean) - mean) / spread) ** 2 + 2 * Math.log(spread);
  }, 0);
  const [a, b, c] = rootOf(covariance);
  return Math.log(a[0] * b[1] * c[2]) - (misfit + away) / 2;
}

/** Most likely constants, and how surely. @source Gauss-Newton with a Gaussian prior */
function bestLaw(prior: Normal, bins: readonly Bin[], sinceMs: number): Law {
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
  for (const { atMs, beerC } of bins) {
    const elapsed = (atMs - sinceMs) * perMs;
    const decay = Math.exp(-elapsed);
    const rest = 1 - decay;
    const pace = (start - fridge) * decay * elapsed;
    const off = beerC - (fridge + (start - fridge) * decay);
    // What lies far off is a door, a defrosting, a wild value: it pulls less and less. @source Huber weights
    const pull = BIN_WEIGHT * Math.min(1, (3 * DATA_SPREAD_K) / Math.max(1e-9, Math.abs(off)));
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
  const sinceH = (nowMs - sinceMs) / HOUR_MS;
  const laws = likelyLaws(kept, sinceMs, first.beerC);
  const parts = laws.map((law) => timeOf(law, goalC, sinceH));
  const likeliest = laws.reduce((best, { share }, index) => (share > (laws[best]?.share ?? 0) ? index : best), 0);
  const main = parts[likeliest] ?? null;
  if (main === null) return null;
  // What one of two beliefs holds never to be, lies at the end of what is told.
  const late = { middle: LONGEST_H, low: 0, high: 0 };
  const { middle, low, high } =
    laws.length === 1
      ? sureEnds({ ...main, middle: Math.max(0, main.middle) })
      : endsOf(laws.map(({ share }, index) => ({ ...(parts[index] ?? late), share })));
  return { hours: Math.max(0, middle), lowHours: Math.max(0, low), highHours: Math.min(LONGEST_H, high) };
}

type Part = Omit<Lopsided, 'share'>;

/** Hours from now until the goal by one law; null: never, or not within what is told. */
function timeOf({ values, covariance }: Law, goalC: number, sinceH: number): Part | null {
  const middle = hoursOf(values, goalC);
  if (middle === null || middle - sinceH > LONGEST_H) return null;
  const spread = spreadOf(values, covariance, (law) => (hoursOf(law, goalC) ?? LONGEST_H + sinceH) - middle);
  return { middle: middle - sinceH, ...spread };
}

function timeConstant(kept: Kept): HoursAhead | null {
  const [first] = kept.bins;
  if (first === undefined || kept.sinceMs === null) return null;
  return hoursOfLn(
    likelyLaws(kept, kept.sinceMs, first.beerC).map(({ values, covariance, share }) => {
      const spread = Math.sqrt(covariance[2][2]);
      return { middle: values[2], low: spread, high: spread, share };
    }),
  );
}

/** Hours by beliefs of their logarithm. */
function hoursOfLn(parts: readonly Lopsided[]): HoursAhead {
  const [only, other] = parts;
  const { middle, low, high } = only !== undefined && other === undefined ? sureEnds(only) : endsOf(parts);
  return { hours: Math.exp(middle), lowHours: Math.exp(low), highHours: Math.exp(high) };
}

const sureEnds = ({ middle, low, high }: Part) => ({
  middle,
  low: middle - NINE_IN_TEN * low,
  high: middle + NINE_IN_TEN * high,
});

/** By this cooling alone, so that what was believed wrongly is not handed on for ever. */
function taught(kept: Kept): Belief | null {
  const [first] = kept.bins;
  if (first === undefined || kept.sinceMs === null) return null;
  const bins = telling(kept, kept.sinceMs);
  const { values, covariance } = bestLaw(priorOf(kept, first.beerC), bins, kept.sinceMs);
  const fallK = Math.max(...bins.map(({ beerC }) => beerC)) - (bins.at(-1)?.beerC ?? Number.POSITIVE_INFINITY);
  const sd = Math.sqrt(covariance[2][2]);
  return fallK >= TAUGHT_FALL_K && sd <= TAUGHT_SPREAD ? { mean: values[2], sd } : null;
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
