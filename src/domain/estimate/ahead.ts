/** What is to come: a few of the particles run on at given temperature and pressure. */
import { at, type Cloud, contentOf, copyParticle, createCloud } from './cloud.ts';
import type { Course } from './course.ts';
import { ferment, leapOpen } from './motion.ts';
import { weightedQuantiles } from './quantiles.ts';
import type { HoursAhead } from './types.ts';
import { around } from './walk.ts';

const SCOUTS = 128;

export interface AheadConditions {
  readonly beerC: number;
  readonly headspaceKpaGauge: number;
  readonly ambientKpaAbsolute: number;
  readonly horizonHours: number;
}

/** Particles of equal weight that stand for all: taken at even steps of the summed weight, so that no chance is needed. */
function scoutsOf(cloud: Cloud, weights: Float64Array): Cloud {
  const scouts = createCloud(SCOUTS, SCOUTS);
  let source = 0;
  let reached = at(weights, 0);
  for (let turn = 0; turn < SCOUTS; turn += 1) {
    while (reached < (turn + 0.5) / SCOUTS && source < cloud.size - 1) {
      source += 1;
      reached += at(weights, source);
    }
    copyParticle(cloud, source, scouts, turn);
  }
  return scouts;
}

interface Conditions {
  readonly beerC: number;
  readonly kpaGauge: number;
  readonly ambientKpaAbsolute: number;
}

/** A course under other conditions: at rest, with every probe speaking. */
function courseUnder(course: Course, now: Conditions): Course {
  return {
    ...course,
    beerC: Math.min(40, Math.max(-3, now.beerC)),
    beerKnown: true,
    beerSilentH: 0,
    gaugePa: Math.min(900, Math.max(-60, now.kpaGauge)) * 1000,
    gaugeKnown: true,
    gaugeSilentH: 0,
    ambientPa: now.ambientKpaAbsolute * 1000,
    heatKPerHour: 0,
  };
}

function runScouts(scouts: Cloud, course: Course, hours: number): void {
  const now = around(course, hours * 3600, 'still');
  leapOpen(scouts, now);
  if (course.fermenting) ferment(scouts, now);
}

/** Hours until the content lies within the goal; null if for half of the particles that is beyond the horizon. */
export function hoursUntilWithin(
  cloud: Cloud,
  weights: Float64Array,
  course: Course,
  goal: { readonly low: number; readonly high: number },
  ahead: AheadConditions,
): HoursAhead | null {
  const { beerC, headspaceKpaGauge: kpaGauge, ambientKpaAbsolute } = ahead;
  if (![beerC, kpaGauge, ambientKpaAbsolute, ahead.horizonHours].every(Number.isFinite)) return null;
  const scouts = scoutsOf(cloud, weights);
  const under = courseUnder(course, { beerC, kpaGauge, ambientKpaAbsolute });
  const beyond = 2 * ahead.horizonHours + 1;
  const found = new Float64Array(SCOUTS).fill(beyond);
  const before = new Float64Array(SCOUTS);
  let hours = 0;
  let missing = note(scouts, goal, found, before, 0, 0);
  while (missing > 0 && hours < ahead.horizonHours) {
    // Short steps at first, where an hour matters; long ones later.
    const step = Math.min(ahead.horizonHours - hours, Math.max(0.25, 0.1 * hours), 4);
    runScouts(scouts, under, step);
    hours += step;
    missing = note(scouts, goal, found, before, hours, step);
  }
  const sorted = found.sort();
  const pick = (share: number) => at(sorted, Math.round(share * (SCOUTS - 1)));
  if (pick(0.5) > ahead.horizonHours) return null;
  return { hours: pick(0.5), lowHours: pick(0.05), highHours: Math.min(ahead.horizonHours, pick(0.95)) };
}

/** Writes down who has come within the goal, between the last look and this one. Returns how many have not. */
function note(
  scouts: Cloud,
  goal: { readonly low: number; readonly high: number },
  found: Float64Array,
  before: Float64Array,
  hours: number,
  step: number,
): number {
  let missing = 0;
  for (let index = 0; index < SCOUTS; index += 1) {
    const content = contentOf(scouts, index);
    if (at(found, index) > hours) {
      const last = at(before, index);
      const edge = last < goal.low || step === 0 ? goal.low : goal.high;
      if (content >= goal.low && content <= goal.high) {
        const moved = content - last;
        const share = step === 0 || moved === 0 ? 1 : Math.min(1, Math.max(0, (edge - last) / moved));
        found[index] = hours - step + share * step;
      } else missing += 1;
    }
    before[index] = content;
  }
  return missing;
}

export interface PathPoint {
  readonly hours: number;
  readonly beerC: number;
  readonly kpaGauge: number;
}

/** The 5 %, 50 % and 95 % of the content along a path; between its points conditions are those of the later one. */
export function forecastAlong(
  cloud: Cloud,
  weights: Float64Array,
  course: Course,
  path: readonly PathPoint[],
  ambientKpaAbsolute: number,
): { hours: number; low: number; volumes: number; high: number }[] {
  const scouts = scoutsOf(cloud, weights);
  const even = new Float64Array(SCOUTS).fill(1 / SCOUTS);
  const contents = new Float64Array(SCOUTS);
  let hours = 0;
  return path.map((point) => {
    const under = courseUnder(course, { ...point, ambientKpaAbsolute });
    while (point.hours - hours > 1e-9) {
      const step = Math.min(2, point.hours - hours);
      runScouts(scouts, under, step);
      hours += step;
    }
    for (let index = 0; index < SCOUTS; index += 1) contents[index] = contentOf(scouts, index);
    const [low = 0, volumes = 0, high = 0] = weightedQuantiles(contents, even, [0.05, 0.5, 0.95]);
    return { hours: point.hours, low, volumes, high };
  });
}
