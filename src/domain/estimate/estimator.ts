/**
 * Estimate of the CO2 really dissolved in a keg: many kegs that could be this one, each with its own unknown constants, walk
 * along with what is measured and are weighed by it. On gas the pressure says where the beer is going, not where it is; while
 * the gas is closed the headspace tells. Contents are chart volumes: what a chart reads at the beer's temperature and the CO2
 * pressure at which it neither takes up nor gives off gas.
 */
import {
  type AheadConditions,
  forecastAlong,
  hoursUntilAbove,
  hoursUntilWithin,
  type Lookout,
  lookoutOf,
  type PathPoint,
  strideOn,
} from './ahead.ts';
import { type ClosedKegs, closedKegsOf } from './closed-kegs.ts';
import { at, type Cloud, contentOf, copyCloud, type PackedCloud, packCloud, unpackCloud } from './cloud.ts';
import type { Course } from './course.ts';
import { apply, payShake } from './deeds.ts';
import { createDice, type Dice, seedWords } from './dice.ts';
import { chartVolumes } from './law.ts';
import { drawLearnt, type KegLearning, learningOf } from './learning.ts';
import { drawCloud, drawHeld, LEAK_PRIOR, vesselOf, zeroSpread } from './priors.ts';
import { type Prospect, type ProspectConditions, prospectOf } from './prospect.ts';
import { weightedQuantiles } from './quantiles.ts';
import { type ScoutRun, scoutRun } from './scouts.ts';
import type { DissolvedEstimate, EstimateStep, Filling, HoursAhead } from './types.ts';
import { settle, walk } from './walk.ts';

export interface EstimatorOptions {
  /** The same seed and steps give the same estimate on every machine. */
  readonly seed: number;
  /** How many kegs walk along (300 of 1,000 leak); 1,000 if not said. */
  readonly particles?: number;
  /** What the last batch taught of this keg; see `learning`. */
  readonly learning?: KegLearning;
}

interface Snapshot {
  readonly course: Course;
  readonly cloud: PackedCloud;
  readonly words: readonly number[];
}

const HOUR_MS = 3_600_000;
/** Longest part of a step that is taken at once (ms); after 60 days of silence the rest is skipped: it holds nothing new. */
const PART_MS = 10 * 60_000;
const GAP_PART_MS = HOUR_MS / 2;
const LONGEST_GAP_MS = 60 * 24 * HOUR_MS;

export class Estimator {
  readonly #cloud: Cloud;
  readonly #course: Course;
  readonly #dice: Dice;
  readonly #weights: Float64Array;
  readonly #scratch: Float64Array;
  /** Sent ahead under the conditions of `key`, until the next step: one is asked more than once of the same. */
  #lookout: { readonly key: string; readonly lookout: Lookout } | null = null;

  private constructor(cloud: Cloud, course: Course, dice: Dice) {
    this.#cloud = cloud;
    this.#course = course;
    this.#dice = dice;
    this.#weights = cloud.columns.logWeight.map((log) => Math.exp(log));
    this.#scratch = new Float64Array(cloud.size);
  }

  /** Begins with what is believed at filling. `ambient` is the local air pressure (kPa absolute). */
  static begin(
    filling: Filling,
    ambient: { readonly kpaAbsolute: number; readonly fromBarometer: boolean },
    options: EstimatorOptions,
  ): Estimator {
    const dice = createDice(seedWords(options.seed));
    const ambientKpa = ambient.kpaAbsolute > 30 && ambient.kpaAbsolute < 115 ? ambient.kpaAbsolute : 101.325;
    const size = Math.round(Math.min(20_000, Math.max(100, options.particles ?? 1000)));
    const cloud = drawCloud(filling, ambientKpa * 1000, ambient.fromBarometer, size, dice);
    if (options.learning !== undefined) drawLearnt(cloud, options.learning, vesselOf(filling).totalM3, dice);
    // Nobody said whether the gas is on: most kegs are.
    if (filling.onGasSinceMs === null) drawHeld(cloud, 0.75, 0, dice);
    return new Estimator(cloud, beginCourse(filling, ambientKpa, ambient.fromBarometer), dice);
  }

  /** Goes on where `snapshot` was taken, bit for bit. Throws if it is none. */
  static resume(snapshot: unknown): Estimator {
    if (!isSnapshot(snapshot))
      throw new Error('estimate: this is no snapshot of an estimate; begin anew from the filling');
    const { course, cloud, words } = snapshot;
    return new Estimator(unpackCloud(cloud), { ...course }, createDice(words));
  }

  /** An estimate that goes on by itself from here; far cheaper than a snapshot. */
  copy(): Estimator {
    return new Estimator(copyCloud(this.#cloud), { ...this.#course }, createDice(this.#dice.words()));
  }

  /** Plain numbers and texts, to keep as JSON. */
  snapshot(): unknown {
    return { course: { ...this.#course }, cloud: packCloud(this.#cloud), words: this.#dice.words() } satisfies Snapshot;
  }

  /**
   * Takes a step. Its events apply at its beginning, in order of time. A step that begins later than the last one ended leaves a
   * gap, in which nothing is heard; time that was walked already is not walked again, but its events apply.
   */
  advance(step: EstimateStep): void {
    if (!Number.isFinite(step.fromMs) || !Number.isFinite(step.toMs)) return;
    const course = this.#course;
    this.#lookout = null;
    if (step.fromMs > course.atMs) this.#cross(step);
    const events = step.events.toSorted((a, b) => a.atMs - b.atMs);
    this.#repay(step);
    const owed = course.shakeOwed;
    for (const event of events) apply(event, this.#cloud, course, this.#dice);
    if (events.length > 0) settle(this.#cloud, course, this.#dice, this.#weights);
    if (owed && course.shakeOwed) payShake(this.#cloud, course, this.#dice);
    let eventful = events.length > 0;
    let leftMs = Math.min(LONGEST_GAP_MS, step.toMs - Math.max(step.fromMs, course.atMs));
    while (leftMs > 0) {
      const partMs = Math.min(PART_MS, leftMs);
      walk(this.#cloud, course, this.#dice, step, partMs / 1000, eventful, this.#weights);
      eventful = false;
      leftMs -= partMs;
    }
    course.atMs = Math.max(course.atMs, step.toMs);
  }

  /** Walks through time of which nothing is known. */
  #cross(step: EstimateStep): void {
    const course = this.#course;
    let leftMs = Math.min(LONGEST_GAP_MS, step.fromMs - course.atMs);
    const silent = { ...step, beerC: null, headspaceKpaGauge: null, events: [] };
    while (leftMs > 0) {
      const partMs = Math.min(GAP_PART_MS, leftMs);
      walk(this.#cloud, course, this.#dice, silent, partMs / 1000, false, this.#weights);
      leftMs -= partMs;
    }
    course.atMs = step.fromMs;
  }

  /** Time on gas before the estimate begins, under what is measured first. */
  #repay(step: EstimateStep): void {
    const course = this.#course;
    if (course.owedHours <= 0 || step.beerC === null || step.headspaceKpaGauge === null) return;
    if (step.beerC > -10 && step.beerC < 45) course.beerC = step.beerC;
    if (step.headspaceKpaGauge > -60 && step.headspaceKpaGauge < 900) course.gaugePa = step.headspaceKpaGauge * 1000;
    strideOn(this.#cloud, course, course.owedHours);
    course.owedHours = 0;
  }

  /** The estimate at the end of the last step. */
  estimate(): DissolvedEstimate {
    const course = this.#course;
    const [low = 0, volumes = 0, high = 0] = this.#quantiles(
      (index) => contentOf(this.#cloud, index),
      [0.05, 0.5, 0.95],
    );
    const { air, zero, held } = this.#cloud.columns;
    const [airPa = 0] = this.#quantiles((index) => at(air, index), [0.5]);
    const [zeroLow = 0, zeroPa = 0, zeroHigh = 0] = this.#quantiles((index) => at(zero, index), [0.05, 0.5, 0.95]);
    let holding = 0;
    for (let index = 0; index < held.length; index += 1) if (at(held, index) === 1) holding += at(this.#weights, index);
    return {
      atMs: course.atMs,
      low,
      volumes,
      high,
      equilibriumVolumes:
        course.beerKnown && course.gaugeKnown
          ? chartVolumes(course.beerC, course.co2Ratio * (course.gaugePa + course.ambientPa - airPa))
          : null,
      gas: course.gas,
      disagreement: disagreementOf(course, holding),
      leak: course.leak,
      leakProbability: course.leakProbability,
      airKpa: airPa / 1000,
      probeZeroKpa: zeroPa / 1000,
      probeZeroPlusMinusKpa: (zeroHigh - zeroLow) / 2000,
    };
  }

  #quantiles(take: (index: number) => number, shares: readonly number[]): number[] {
    for (let index = 0; index < this.#cloud.size; index += 1) this.#scratch[index] = take(index);
    return weightedQuantiles(this.#scratch, this.#weights, shares);
  }

  /** What was learnt of the keg itself, to begin its next batch with. */
  learning(): KegLearning {
    return learningOf(this.#cloud, this.#weights);
  }

  /** Belief that the content lies within a window, its ends included (chart volumes). */
  probabilityWithin(low: number, high: number): number {
    let sum = 0;
    for (let index = 0; index < this.#cloud.size; index += 1) {
      const content = contentOf(this.#cloud, index);
      if (content >= low && content <= high) sum += at(this.#weights, index);
    }
    return Math.min(1, sum);
  }

  /** Belief that the content is above a value (chart volumes). */
  probabilityAbove(volumes: number): number {
    return this.probabilityWithin(volumes, Number.POSITIVE_INFINITY);
  }

  /** Hours until the content lies within `goal` under constant conditions; null: not within the horizon, as far as can be told. */
  hoursUntil(goal: { readonly low: number; readonly high: number }, ahead: AheadConditions): HoursAhead | null {
    const lookout = this.#lookoutUnder(ahead);
    return lookout === null ? null : hoursUntilWithin(lookout, goal, ahead.horizonHours);
  }

  /** Hours until the belief that the content is past a value reaches `risk`; null: not within the horizon. */
  hoursUntilAbove(volumes: number, ahead: AheadConditions, risk: number): number | null {
    const lookout = this.#lookoutUnder(ahead);
    return lookout === null ? null : hoursUntilAbove(lookout, volumes, ahead.horizonHours, risk);
  }

  /** Null where conditions are no numbers. */
  #lookoutUnder(ahead: AheadConditions): Lookout | null {
    const { beerC, headspaceKpaGauge, ambientKpaAbsolute, horizonHours } = ahead;
    const conditions = [beerC, headspaceKpaGauge, ambientKpaAbsolute];
    if (![...conditions, horizonHours].every(Number.isFinite)) return null;
    const key = conditions.join(' ');
    if (this.#lookout?.key === key) return this.#lookout.lookout;
    const lookout = lookoutOf(this.#cloud, this.#weights, this.#course, ahead);
    this.#lookout = { key, lookout };
    return lookout;
  }

  /** The content to come along a path of temperatures and pressures; hours count from now and rise. */
  forecast(
    path: readonly PathPoint[],
    ambientKpaAbsolute: number,
  ): { hours: number; low: number; volumes: number; high: number }[] {
    return forecastAlong(this.#cloud, this.#weights, this.#course, path, ambientKpaAbsolute);
  }

  /** What comes of constant conditions, with how likely it gets into a window and past it. */
  prospect(conditions: ProspectConditions): Prospect {
    return prospectOf(this.#cloud, this.#weights, this.#course, conditions);
  }

  /** A few of the kegs that this one could be, to lead them along ways that somebody wants to try. */
  scouts(count: number, ambientKpaAbsolute: number): ScoutRun {
    return scoutRun(this.#cloud, this.#weights, this.#course, count, ambientKpaAbsolute);
  }

  /** A few of the kegs that this one could be, with the gas closed now: what a check would show if they were it. */
  closedKegs(choice: { readonly count: number; readonly seed: number; readonly shakeS: number }): ClosedKegs {
    return closedKegsOf(this.#cloud, this.#weights, this.#course, choice);
  }
}

function disagreementOf(course: Course, holding: number): DissolvedEstimate['disagreement'] {
  if (course.gas === 'closed' && course.closedS >= HOUR_MS / 2000 && holding > 0.6) return 'closed-but-holds';
  return course.gas === 'on' && course.belowSettingS >= 3600 ? 'open-but-no-gas' : null;
}

function beginCourse(filling: Filling, ambientKpa: number, fromBarometer: boolean): Course {
  const since = filling.onGasSinceMs;
  const vessel = vesselOf(filling);
  return {
    filling,
    totalM3: vessel.totalM3,
    atMs: filling.atMs,
    gas: since === null ? 'unknown' : 'on',
    gasBefore: 'on',
    closedS: 0,
    closedC: vessel.beerC ?? 8,
    unanchored: true,
    beerC: vessel.beerC ?? 8,
    beerKnown: false,
    beerSilentH: 0,
    gaugePa: 75_000,
    gaugeKnown: false,
    gaugeSilentH: 0,
    ambientPa: ambientKpa * 1000,
    fromBarometer,
    co2Ratio: 1,
    heatKPerHour: 0,
    supplyPa: 0,
    supplyKnown: false,
    lastMovePa: 0,
    jumpPa: 0,
    ventedPa: 0,
    settingPa: null,
    belowSettingS: 0,
    shakeLeftS: 0,
    restS: 0,
    stoneLeftS: 0,
    shakenCheck: false,
    shakeOwed: false,
    purged: false,
    owedHours: since === null ? 0 : Math.min(LONGEST_GAP_MS, Math.max(0, filling.atMs - since)) / HOUR_MS,
    drawnL: 0,
    weighing: null,
    observed: false,
    zeroSpreadPa: zeroSpread(fromBarometer),
    leak: 'none',
    leakProbability: LEAK_PRIOR,
    driftS: 0,
  };
}

function isSnapshot(value: unknown): value is Snapshot {
  if (typeof value !== 'object' || value === null || !('course' in value && 'cloud' in value && 'words' in value)) {
    return false;
  }
  // The newest field: what was kept before it came cannot go on.
  return typeof value.course === 'object' && value.course !== null && 'closedC' in value.course;
}
