/** What comes of a keg that is left at one temperature and pressure: not only how much it will hold, but how likely. */
import { courseUnder, runScouts, scoutsByPace } from './ahead.ts';
import { at, type Cloud, contentOf, copyCloud, fillEvenly } from './cloud.ts';
import type { Course } from './course.ts';
import { weightedQuantiles } from './quantiles.ts';
import type { HoursAhead } from './types.ts';

export interface ProspectConditions {
  readonly beerC: number;
  readonly headspaceKpaGauge: number;
  readonly ambientKpaAbsolute: number;
  /** How far it is looked ahead (h), and at how many even times something is said of it. */
  readonly hours: number;
  readonly points: number;
  readonly goal: { readonly low: number; readonly high: number };
  /** What the beer holds at the start (volumes), where that is given; null: what is believed. */
  readonly fromVolumes: number | null;
}

export interface Prospect {
  /** The first is now. 5 %, 50 % and 95 % of the content (chart volumes). */
  readonly course: readonly {
    readonly hours: number;
    readonly low: number;
    readonly volumes: number;
    readonly high: number;
  }[];
  /** Until the content is inside the goal; null if for half of what is possible that is not within the hours. */
  readonly insideIn: HoursAhead | null;
  /** Probability that it is inside the goal at the end. */
  readonly insideProbability: number;
  /** Probability that it is past the goal's top at some time, and when (h) that reaches 5 %; null: it does not. */
  readonly passingProbability: number;
  readonly passingHours: number | null;
}

/** More than for a median: a risk of 5 % should still rest on a score of them. */
const SCOUTS = 400;
const RISK = 0.05;
/** What mixing two layers of one content is off by (volumes). */
const ROUNDING = 1e-9;

export function prospectOf(
  cloud: Cloud,
  weights: Float64Array,
  course: Course,
  conditions: ProspectConditions,
): Prospect {
  const { beerC, headspaceKpaGauge, ambientKpaAbsolute, hours, goal } = conditions;
  const start = conditions.fromVolumes === null ? cloud : filledWith(cloud, conditions.fromVolumes);
  const under = courseUnder(course, { beerC, kpaGauge: headspaceKpaGauge, ambientKpaAbsolute });
  const scouts = scoutsByPace(start, weights, under, SCOUTS);
  const watch = new Watch(goal);
  watch.look(scouts, 0);
  const told = [watch.quantilesAt(0)];
  let reached = 0;
  for (let point = 1; point < conditions.points; point += 1) {
    const until = (hours * point) / (conditions.points - 1);
    while (until - reached > 1e-9) {
      // Short steps at first, where an hour matters; long ones later.
      const step = Math.min(until - reached, Math.max(0.25, 0.1 * reached), 6);
      runScouts(scouts, under, step);
      reached += step;
      watch.look(scouts, reached);
    }
    told.push(watch.quantilesAt(until));
  }
  return { course: told, ...watch.findings(hours) };
}

function filledWith(cloud: Cloud, volumes: number): Cloud {
  const filled = copyCloud(cloud);
  for (let index = 0; index < filled.size; index += 1) fillEvenly(filled, index, volumes);
  return filled;
}

/** Notes of each scout when it first came into the goal and past its top. */
class Watch {
  readonly #goal: ProspectConditions['goal'];
  readonly #contents = new Float64Array(SCOUTS);
  readonly #insideAt = new Float64Array(SCOUTS).fill(Number.POSITIVE_INFINITY);
  readonly #pastAt = new Float64Array(SCOUTS).fill(Number.POSITIVE_INFINITY);
  #hours = 0;

  constructor(goal: ProspectConditions['goal']) {
    this.#goal = goal;
  }

  look(scouts: Cloud, hours: number): void {
    const low = this.#goal.low - ROUNDING;
    const high = this.#goal.high + ROUNDING;
    for (let index = 0; index < SCOUTS; index += 1) {
      const last = hours === 0 ? contentOf(scouts, index) : at(this.#contents, index);
      const content = contentOf(scouts, index);
      const crossedAt = (edge: number) =>
        content === last ? hours : this.#hours + (hours - this.#hours) * Math.max(0, (edge - last) / (content - last));
      if (at(this.#insideAt, index) > hours && content >= low && content <= high) {
        this.#insideAt[index] = crossedAt(last > high ? high : low);
      }
      if (at(this.#pastAt, index) > hours && content > high) {
        this.#pastAt[index] = crossedAt(high);
      }
      this.#contents[index] = content;
    }
    this.#hours = hours;
  }

  quantilesAt(hours: number): Prospect['course'][number] {
    const even = new Float64Array(SCOUTS).fill(1 / SCOUTS);
    const [low = 0, volumes = 0, high = 0] = weightedQuantiles(this.#contents, even, [0.05, 0.5, 0.95]);
    return { hours, low, volumes, high };
  }

  findings(horizon: number): Omit<Prospect, 'course'> {
    const { low, high } = this.#goal;
    const inside = this.#insideAt.toSorted();
    const past = this.#pastAt.toSorted();
    const pick = (sorted: Float64Array, share: number) => at(sorted, Math.floor(share * SCOUTS));
    const riskAt = pick(past, RISK);
    return {
      insideIn:
        pick(inside, 0.5) > horizon
          ? null
          : {
              hours: pick(inside, 0.5),
              lowHours: pick(inside, 0.05),
              highHours: Math.min(horizon, pick(inside, 0.95)),
            },
      insideProbability: shareOf(this.#contents, (content) => content >= low - ROUNDING && content <= high + ROUNDING),
      passingProbability: shareOf(past, (hours) => hours <= horizon),
      passingHours: riskAt <= horizon ? riskAt : null,
    };
  }
}

function shareOf(values: Float64Array, counts: (value: number) => boolean): number {
  let sum = 0;
  for (const value of values) if (counts(value)) sum += 1;
  return sum / values.length;
}
