/**
 * Which way with the gas most likely brings the beer into its window by the hour: left at serving pressure, or under a
 * higher one for a while, with or without a gas check on the way that tells how far it has come. Every way is tried on kegs
 * that this one could be.
 */
import { at } from '../estimate/cloud.ts';
import type { ScoutRun } from '../estimate/scouts.ts';

export interface GasBasis {
  readonly scouts: ScoutRun;
  readonly hours: number;
  readonly window: { readonly low: number; readonly high: number };
  /** Beer's temperature to come (°C). */
  readonly beerC: (hour: number) => number;
  /** What it is served at (kPa gauge), and what may be used before that to be quicker; none: it must stay as it is. */
  readonly servingKpa: number;
  /** Below that, where the beer ends in the middle of its window: raised only on the day; null: no lower than serving. */
  readonly gentleKpa: number | null;
  readonly quickKpa: readonly number[];
  /** Hours that a check that is going on still takes; null: none is. */
  readonly checkEndsInH: number | null;
  /** Whether a check can be made: something measures the pressure; and from when on another one is worth it (h). */
  readonly mayCheck: boolean;
  readonly checkAgainH: number;
  /** What the beer must hold so that a closed keg keeps some pressure at that hour (volumes): one without draws air in. */
  readonly checkableVolumes: (hour: number) => number;
  /** Is somebody up at that hour from now? */
  readonly awake: (hour: number) => boolean;
}

/** A higher pressure for a while, hours from now. */
export interface Quick {
  readonly kpaGauge: number;
  readonly untilH: number;
}

export interface GasWay {
  readonly quick: Quick | null;
  /** Held below serving pressure until shortly before the hour, so that it does not pass its window. */
  readonly gentle: boolean;
  /** A gas check, hours from now; one that is going on began at or before zero. */
  readonly check: { readonly fromH: number; readonly untilH: number } | null;
  /** After the check the plan is worked out anew, and the pressure may be raised once more. */
  readonly open: boolean;
  readonly probability: number;
  /** What the kegs hold at the hour, if nothing is changed after the last step that is named (volumes). */
  readonly atHour: Float64Array;
  /** When the middle one comes into the window (h); null: it is not inside then. */
  readonly insideIn: { readonly hours: number; readonly lowHours: number; readonly highHours: number } | null;
}

/** Kegs that ways are tried on. */
export const PLAN_SCOUTS = 96;
/** What the verdict asks for. @source as `verdict/carbonation` */
const INSIDE_MIN = 0.9;
const ABOVE_MAX = 0.05;
/** How surely a forecast just at the limit is at it when its hour comes: half of a step of the odds. Chosen, no source. */
const ODDS_STEP = 0.35;
/** From a pressure above serving the keg takes so long to come down by itself, unvented (h). Measured on simulated kegs. */
export const SETTLE_H = 20;
/** A gentle pressure is raised to serving pressure so long before the hour (h). */
export const RAISE_H = 4;
/** Hours in which the headspace is on average halfway between the two pressures then. */
const FALL_H = 3;
/** How long a check takes if there is time, and the least that it is worth (h). */
const CHECK_H = 12;
const SHORT_CHECK_H = 5;
/** A check is over so long before the hour (h): pressure and beer want to be steady. */
const AFTER_CHECK_H = 3;
/** What a check leaves unsure, so that a keg must get so far inside its window to be called inside (volumes). */
const MARGIN = 0.11;
/** Share of the kegs that may be past the top, less this margin, before the check tells. */
const OVERSHOOT_MAX = 0.03;
/** Share of the kegs that may hold too little for a check. */
const TOO_FLAT_MAX = 0.5;
/** More work must be worth it. */
const WORTH = 0.03;
const SURE = 0.9;

export function gasWay(basis: GasBasis): GasWay {
  if (basis.checkEndsInH !== null) return afterRunning(basis, Math.max(0, basis.checkEndsInH));
  const plain = bestWithoutCheck(basis);
  if (plain.probability >= SURE || !basis.mayCheck) return plain;
  const checked = bestWithCheck(basis);
  return checked !== null && checked.probability > plain.probability + WORTH ? checked : plain;
}

/** How likely the verdict passes, if nothing is learnt on the way: the cloud of the hour is the cloud of today, led on. */
export function passProbability(contents: Float64Array, window: GasBasis['window']): number {
  const inside = share(contents, (content) => content >= window.low && content <= window.high);
  const above = share(contents, (content) => content > window.high);
  return surely(inside, INSIDE_MIN) * surely(1 - above, 1 - ABOVE_MAX);
}

function surely(probability: number, limit: number): number {
  const odds = (p: number) => Math.log(Math.max(1e-3, p) / Math.max(1e-3, 1 - p));
  return 1 / (1 + Math.exp(-(odds(probability) - odds(limit)) / ODDS_STEP));
}

function share(values: Float64Array, counts: (value: number) => boolean): number {
  let sum = 0;
  for (const value of values) if (counts(value)) sum += 1;
  return sum / values.length;
}

/** Leads kegs on from one hour to another under one pressure. */
function lead(run: ScoutRun, basis: GasBasis, fromH: number, untilH: number, kpa: number): void {
  for (let hour = fromH; hour < untilH - 1e-9; ) {
    // While the beer is chilled its temperature moves by the hour.
    const next = Math.min(untilH, hour + (hour < 48 ? 3 : 24));
    run.pass(next - hour, basis.beerC((hour + next) / 2), kpa);
    hour = next;
  }
}

/** From a higher pressure down to serving pressure, without venting, and on to the hour. */
function leadDown(run: ScoutRun, basis: GasBasis, fromH: number, from: Quick): void {
  const fallen = Math.min(basis.hours, fromH + FALL_H);
  lead(run, basis, fromH, fallen, (from.kpaGauge + basis.servingKpa) / 2);
  lead(run, basis, fallen, basis.hours, basis.servingKpa);
}

/** On to the hour at the least pressure that serves: gentle until the day, where there is a gentle one. */
function leadGently(run: ScoutRun, basis: GasBasis, fromH: number): void {
  const raiseH = basis.gentleKpa === null ? fromH : Math.max(fromH, basis.hours - RAISE_H);
  if (basis.gentleKpa !== null) lead(run, basis, fromH, raiseH, basis.gentleKpa);
  lead(run, basis, raiseH, basis.hours, basis.servingKpa);
}

/** How far apart turns lie (h): farther off it matters less. */
function turnEveryH(beforeH: number): number {
  if (beforeH < 48) return 3;
  return beforeH < 120 ? 6 : 12;
}
/** How far a turn is shifted to when somebody is up (h). */
const SHIFTS = [0, 1, -1, 2, -2, 3, -3, 4, -4, 5, 6, 7, 8] as const;

/**
 * Hours from now at which something may be turned, the first of them `fromH`: at times when somebody is up, counted back
 * from the hour, so that they stay the same moments when the plan is worked out anew.
 */
function turns(basis: GasBasis, fromH: number, untilH: number): number[] {
  const found = new Set<number>(fromH <= untilH && basis.awake(fromH) ? [fromH] : []);
  for (let beforeH = 0; basis.hours - beforeH > fromH; beforeH += turnEveryH(beforeH)) {
    const hour = basis.hours - beforeH;
    const turn = SHIFTS.map((shift) => hour + shift).find(basis.awake);
    if (turn !== undefined && turn >= fromH && turn <= untilH + 1e-9) found.add(turn);
  }
  return [...found].toSorted((a, b) => a - b);
}

/**
 * What the kegs hold at the hour. None holds less than now: a regulator lets no gas back, so beer under too little pressure
 * raises the headspace's instead of going flat.
 */
function contentsAtHour(basis: GasBasis, end: ScoutRun): Float64Array {
  const now = basis.scouts.contents();
  return end.contents().map((content, index) => Math.max(content, at(now, index)));
}

function bestWithoutCheck(basis: GasBasis): GasWay {
  let best = held(basis);
  for (const kpaGauge of basis.quickKpa) {
    if (best.probability >= SURE) break;
    const running = basis.scouts.fork();
    let doneH = 0;
    for (const untilH of turns(basis, 2, basis.hours - SETTLE_H)) {
      lead(running, basis, doneH, untilH, kpaGauge);
      doneH = untilH;
      const quick = { kpaGauge, untilH };
      const end = running.fork();
      leadDown(end, basis, untilH, quick);
      const atHour = contentsAtHour(basis, end);
      const probability = passProbability(atHour, basis.window);
      if (probability > best.probability + WORTH) {
        best = { quick, gentle: false, check: null, open: false, probability, atHour, insideIn: null };
      }
      // Longer is only more.
      if (share(running.contents(), (content) => content > basis.window.high) > 0.5) break;
    }
  }
  return { ...best, insideIn: insideIn(basis, best) };
}

/** Serving pressure all the way, or a gentle one if that is surer. */
function held(basis: GasBasis): GasWay {
  const wayOf = (gentle: boolean): GasWay => {
    const end = basis.scouts.fork();
    if (gentle) leadGently(end, basis, 0);
    else lead(end, basis, 0, basis.hours, basis.servingKpa);
    const atHour = contentsAtHour(basis, end);
    const probability = passProbability(atHour, basis.window);
    return { quick: null, gentle, check: null, open: false, probability, atHour, insideIn: null };
  };
  const plain = wayOf(false);
  if (basis.gentleKpa === null || plain.probability >= SURE) return plain;
  const gentle = wayOf(true);
  return gentle.probability > plain.probability ? gentle : plain;
}

/** What a check at some hour could still bring about: how many kegs can then be led into the window. */
function outcomeOf(basis: GasBasis, closed: ScoutRun, untilH: number) {
  const { window, hours } = basis;
  const margin = Math.min(MARGIN, 0.4 * (window.high - window.low));
  const slow = closed.fork();
  leadGently(slow, basis, untilH);
  const least = contentsAtHour(basis, slow);
  let most = least;
  const strongest = basis.quickKpa.at(-1);
  if (strongest === undefined || untilH >= hours - SETTLE_H) {
    const plain = closed.fork();
    lead(plain, basis, untilH, hours, basis.servingKpa);
    most = contentsAtHour(basis, plain);
  } else {
    const quick = { kpaGauge: strongest, untilH: hours - SETTLE_H };
    const fast = closed.fork();
    lead(fast, basis, untilH, quick.untilH, strongest);
    leadDown(fast, basis, quick.untilH, quick);
    most = contentsAtHour(basis, fast);
  }
  let good = 0;
  for (const [index, low] of least.entries()) {
    const high = Math.max(low, at(most, index));
    if (low <= window.high - margin && high >= window.low + margin) good += 1;
  }
  return {
    probability: good / least.length,
    atHour: least,
    mayQuicken: strongest !== undefined && untilH < hours - SETTLE_H,
  };
}

function bestWithCheck(basis: GasBasis): GasWay | null {
  let best = withCheck(basis, basis.scouts.fork(), 0, null, null);
  for (const kpaGauge of basis.quickKpa) {
    if (best !== null && best.probability >= SURE) break;
    const safe = longestSafe(basis, kpaGauge);
    if (safe === null) continue;
    const quick = { kpaGauge, untilH: safe.untilH };
    best = withCheck(basis, safe.run, safe.untilH, quick, best);
  }
  return best === null ? null : { ...best, insideIn: insideIn(basis, best) };
}

/** As long under a higher pressure as hardly any keg can be past the window by it; null: not at all. */
function longestSafe(basis: GasBasis, kpaGauge: number): { run: ScoutRun; untilH: number } | null {
  let safe: { run: ScoutRun; untilH: number } | null = null;
  const running = basis.scouts.fork();
  let doneH = 0;
  for (const untilH of turns(basis, 2, basis.hours - SETTLE_H)) {
    lead(running, basis, doneH, untilH, kpaGauge);
    doneH = untilH;
    const past = share(running.contents(), (content) => content > basis.window.high - MARGIN);
    if (past > OVERSHOOT_MAX) break;
    safe = { run: running.fork(), untilH };
  }
  return safe;
}

/** The best hour for a check from some hour on, after a higher pressure or none, if it is better than another way. */
function withCheck(basis: GasBasis, run: ScoutRun, sinceH: number, quick: Quick | null, other: GasWay | null) {
  let best = other;
  let doneH = sinceH;
  const fallenH = quick === null ? sinceH : sinceH + FALL_H;
  for (const fromH of turns(basis, Math.max(sinceH, basis.checkAgainH), basis.hours - SHORT_CHECK_H - AFTER_CHECK_H)) {
    if (quick !== null) lead(run, basis, doneH, Math.min(fromH, fallenH), (quick.kpaGauge + basis.servingKpa) / 2);
    lead(run, basis, Math.max(doneH, Math.min(fromH, fallenH)), fromH, basis.servingKpa);
    doneH = fromH;
    const least = basis.checkableVolumes(fromH);
    if (share(run.contents(), (content) => content < least) > TOO_FLAT_MAX) continue;
    const untilH = checkEnd(basis, fromH);
    if (untilH === null) continue;
    const { probability, atHour, mayQuicken } = outcomeOf(basis, run, untilH);
    if (best === null || probability > best.probability + WORTH / 3) {
      const check = { fromH, untilH };
      best = { quick, gentle: false, check, open: mayQuicken, probability, atHour, insideIn: null };
    }
  }
  return best;
}

/** A night's length if there is time, in any case when somebody is up to open the gas again. */
function checkEnd(basis: GasBasis, fromH: number): number | null {
  const latest = basis.hours - AFTER_CHECK_H;
  for (const length of [CHECK_H, 13, 11, 14, 10, 9, 8, 7, 6, SHORT_CHECK_H]) {
    if (fromH + length <= latest && basis.awake(fromH + length)) return fromH + length;
  }
  return null;
}

/** While a check goes on it is gone through with, and the rest is seen then. */
function afterRunning(basis: GasBasis, untilH: number): GasWay {
  const { probability, atHour, mayQuicken } = outcomeOf(basis, basis.scouts, untilH);
  const way = {
    quick: null,
    gentle: false,
    check: { fromH: 0, untilH },
    open: mayQuicken,
    probability,
    atHour,
    insideIn: null,
  };
  return { ...way, insideIn: insideIn(basis, way) };
}

/** When the kegs come into the window along a way: looked at a few dozen times. */
function insideIn(basis: GasBasis, way: Pick<GasWay, 'quick' | 'gentle' | 'check'>): GasWay['insideIn'] {
  const run = basis.scouts.fork();
  const arrivals = new Float64Array(run.contents().length).fill(Number.POSITIVE_INFINITY);
  const stepH = Math.max(1, basis.hours / 48);
  for (let hour = 0; ; hour += stepH) {
    for (const [index, content] of run.contents().entries()) {
      if (content >= basis.window.low && content <= basis.window.high && !Number.isFinite(at(arrivals, index))) {
        arrivals[index] = hour;
      }
    }
    if (hour >= basis.hours) break;
    const next = Math.min(basis.hours, hour + stepH);
    const { check, quick, gentle } = way;
    const isGentle = gentle && next < basis.hours - RAISE_H && basis.gentleKpa !== null;
    const held = isGentle ? basis.gentleKpa : basis.servingKpa;
    const closed = check !== null && hour + next >= 2 * check.fromH && hour + next < 2 * check.untilH;
    const kpa = quick !== null && hour < quick.untilH ? quick.kpaGauge : held;
    if (!closed) run.pass(next - hour, basis.beerC((hour + next) / 2), kpa);
  }
  const sorted = arrivals.toSorted();
  const pick = (part: number) => at(sorted, Math.floor(part * sorted.length));
  const hours = pick(0.5);
  if (hours > basis.hours) return null;
  return { hours, lowHours: pick(0.05), highHours: Math.min(basis.hours, pick(0.95)) };
}
