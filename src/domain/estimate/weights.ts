/** Beliefs of the particles, and their renewal when too few of them carry it. */
import { at, type Cloud, type ColumnName, copyParticle, createCloud, derive, ownLasting } from './cloud.ts';
import type { Dice } from './dice.ts';
import { freshLeak } from './priors.ts';

/** No particle is ever quite impossible, so that no sum is ever empty. */
const LEAST_LOG_WEIGHT = -80;
/** Leaks are never quite ruled out: one may begin later. */
const LEAK_FLOOR = 0.004;
/** Share of the leaking particles whose leak begins at a renewal. */
const BEGINNING = 0.15;
/** How much of a parameter a renewal keeps; the rest is spread anew with the same mean and spread. @source J. Liu, M. West 2001 */
const KEPT = 0.985;

/** Scales the weights to a sum of one and writes them. Returns the mass of the leaking particles. */
export function normalise(cloud: Cloud, into: Float64Array): number {
  const { logWeight } = cloud.columns;
  let top = Number.NEGATIVE_INFINITY;
  for (let index = 0; index < cloud.size; index += 1) top = Math.max(top, at(logWeight, index));
  let sum = 0;
  for (let index = 0; index < cloud.size; index += 1) {
    const log = Math.max(LEAST_LOG_WEIGHT, at(logWeight, index) - top);
    logWeight[index] = log;
    sum += Math.exp(log);
  }
  const logSum = Math.log(sum);
  let leaking = 0;
  for (let index = 0; index < cloud.size; index += 1) {
    const log = at(logWeight, index) - logSum;
    logWeight[index] = log;
    // From the logarithm, as after a resumption: the two must not differ by a bit.
    into[index] = Math.exp(log);
    if (index >= cloud.tight) leaking += at(into, index);
  }
  return leaking;
}

/** Effective number of particles in a stratum. */
function effective(weights: Float64Array, from: number, until: number): number {
  let sum = 0;
  let squares = 0;
  for (let index = from; index < until; index += 1) {
    const weight = at(weights, index);
    sum += weight;
    squares += weight * weight;
  }
  return (sum * sum) / squares;
}

export interface Renewal {
  readonly totalM3: number;
  readonly dice: Dice;
  /** Volumes per Pa, J/mol: to move content and pressure along what cannot be observed. */
  readonly solubility: number;
  readonly energy: number;
  /** Spread of zero error (Pa) and of the thermometer's (ln); null if observed by a sample or the scales. */
  readonly unseen: { readonly zeroPa: number; readonly eta: number } | null;
  /** Some leaks begin now, whether or not the others are to be renewed. */
  readonly leaksBegin: boolean;
}

/** Renews each stratum that needs it, and keeps a floor under the leaks. `weights` must be those of `normalise`. */
export function renew(cloud: Cloud, weights: Float64Array, leaking: number, renewal: Renewal): void {
  const { tight, size } = cloud;
  if (effective(weights, 0, tight) < tight / 2) renewStratum(cloud, weights, 0, tight, renewal);
  if (leaking < LEAK_FLOOR) raiseLeaks(cloud, weights, leaking);
  if (effective(weights, tight, size) < (size - tight) / 2) {
    renewStratum(cloud, weights, tight, size, renewal);
    beginLeaks(cloud, weights, renewal);
  } else if (renewal.leaksBegin) {
    beginLeaks(cloud, weights, renewal);
  }
}

/** Draws `count` particles by weight from a stratum. @source G. Kitagawa 1996: systematic resampling */
function draw(weights: Float64Array, from: number, until: number, count: number, dice: Dice): Float64Array {
  let sum = 0;
  for (let index = from; index < until; index += 1) sum += at(weights, index);
  const chosen = new Float64Array(count);
  const step = sum / count;
  let mark = step * dice.next();
  let source = from;
  let reached = at(weights, from);
  for (let turn = 0; turn < count; turn += 1) {
    while (reached < mark && source < until - 1) {
      source += 1;
      reached += at(weights, source);
    }
    chosen[turn] = source;
    mark += step;
  }
  return chosen;
}

function renewStratum(cloud: Cloud, weights: Float64Array, from: number, until: number, renewal: Renewal): void {
  ownLasting(cloud);
  const count = until - from;
  const chosen = draw(weights, from, until, count, renewal.dice);
  let mass = 0;
  for (let index = from; index < until; index += 1) mass += at(weights, index);
  const old = createCloud(count, count);
  for (let index = 0; index < count; index += 1) copyParticle(cloud, from + index, old, index);
  const log = Math.log(Math.max(1e-30, mass / count));
  for (let turn = 0; turn < count; turn += 1) {
    copyParticle(old, at(chosen, turn) - from, cloud, from + turn);
    cloud.columns.logWeight[from + turn] = log;
    weights[from + turn] = Math.exp(log);
  }
  spreadAnew(cloud, from, until, renewal);
}

/** Leaks all but ruled out keep the floor's mass among them. */
function raiseLeaks(cloud: Cloud, weights: Float64Array, leaking: number): void {
  const { logWeight } = cloud.columns;
  const raise = Math.log(LEAK_FLOOR / Math.max(1e-30, leaking));
  for (let index = cloud.tight; index < cloud.size; index += 1) {
    logWeight[index] = at(logWeight, index) + raise;
    weights[index] = Math.exp(at(logWeight, index));
  }
}

/**
 * Some of the leaking particles that fit worse than their mean start again from tight ones, with leaks that begin now, and so
 * count as much as the mean: a leak that begins late is worth no less for what was seen before it.
 */
function beginLeaks(cloud: Cloud, weights: Float64Array, { dice, totalM3 }: Renewal): void {
  ownLasting(cloud);
  const { tight, size } = cloud;
  const { leak, logWeight } = cloud.columns;
  const count = Math.round(BEGINNING * (size - tight));
  const chosen = draw(weights, 0, tight, count, dice);
  let mean = 0;
  for (let index = tight; index < size; index += 1) mean += at(weights, index) / (size - tight);
  const log = Math.log(Math.max(1e-30, mean));
  for (let turn = 0; turn < count; turn += 1) {
    const target = tight + Math.floor(((turn + dice.next()) * (size - tight)) / count);
    if (at(weights, target) > 1.0001 * mean) continue;
    copyParticle(cloud, at(chosen, turn), cloud, target);
    leak[target] = freshLeak(dice);
    logWeight[target] = log;
    weights[target] = Math.exp(log);
    derive(cloud, target, totalM3);
  }
}

/** What is spread anew, and the least that each may become. */
const SPREAD_ANEW: readonly (readonly [ColumnName, number])[] = [
  ['lnTau', 0],
  ['logitSurface', -20],
  ['lnDepth', -10],
  ['logitDeep', -20],
  ['driven', 0],
  ['top', 0],
  ['bulk', 0],
  ['deep', 0],
  ['henry', 0.5],
  ['space', 2e-5],
  ['outgas', 0.05],
];

/**
 * Copies part again: each is drawn a little towards the mean of all and moved by a small part of the difference of two others,
 * which has the spread of all in every direction at once. @source C. J. F. ter Braak 2006: moves by differences; Liu and West
 */
function spreadAnew(cloud: Cloud, from: number, until: number, renewal: Renewal): void {
  const { dice } = renewal;
  const { leak, luckP, luckT, driven, gas, space } = cloud.columns;
  const count = until - from;
  const one = new Float64Array(count);
  const other = new Float64Array(count);
  for (let turn = 0; turn < count; turn += 1) {
    one[turn] = Math.floor(count * dice.next());
    other[turn] = Math.floor(count * dice.next());
  }
  const spaceBefore = space.slice(from, until);
  for (const [name, least] of SPREAD_ANEW) moveByPairs(cloud.columns[name].subarray(from, until), one, other, least);
  for (let index = from; index < until; index += 1) {
    // The gauge has shown the pressure: a larger headspace holds more.
    gas[index] = (at(gas, index) * at(space, index)) / at(spaceBefore, index - from);
    driven[index] = Math.min(1, at(driven, index));
    if (index >= cloud.tight) leak[index] = at(leak, index) * Math.exp(0.1 * dice.normal());
    luckP[index] = dice.normal();
    luckT[index] = dice.normal();
    moveUnseen(cloud, index, renewal);
    derive(cloud, index, renewal.totalM3);
  }
}

function moveByPairs(cells: Float64Array, one: Float64Array, other: Float64Array, least: number): void {
  const old = cells.slice();
  let mean = 0;
  for (const value of old) mean += value / old.length;
  const fresh = Math.sqrt((1 - KEPT * KEPT) / 2);
  for (let index = 0; index < old.length; index += 1) {
    const apart = at(old, at(one, index)) - at(old, at(other, index));
    const own = at(old, index);
    const moved = mean + KEPT * (own - mean) + fresh * apart;
    cells[index] = moved >= least ? moved : own;
  }
}

const UNSEEN_KEPT = 0.8;

/**
 * What temperature and pressure can never show, the zero of the gauge and the thermometer's error, is drawn anew from what was
 * believed at first; content and pressure move along, so that all that was seen fits as before.
 */
function moveUnseen(cloud: Cloud, index: number, { unseen, dice, solubility, energy }: Renewal): void {
  if (unseen === null) return;
  const { zero, eta, top, bulk, deep, gas, space, warmth } = cloud.columns;
  const fresh = Math.sqrt(1 - UNSEEN_KEPT * UNSEEN_KEPT);
  const zeroPa = UNSEEN_KEPT * at(zero, index) + fresh * unseen.zeroPa * dice.normal();
  const newEta = UNSEEN_KEPT * at(eta, index) + fresh * unseen.eta * dice.normal();
  const shift = -(zeroPa - at(zero, index)) * solubility * at(warmth, index);
  const scale = Math.exp(newEta - at(eta, index));
  top[index] = Math.max(0, (at(top, index) + shift) * scale);
  bulk[index] = Math.max(0, (at(bulk, index) + shift) * scale);
  deep[index] = Math.max(0, (at(deep, index) + shift) * scale);
  gas[index] = Math.max(1e-6, at(gas, index) - ((zeroPa - at(zero, index)) * at(space, index)) / energy);
  zero[index] = zeroPa;
  eta[index] = newEta;
}
