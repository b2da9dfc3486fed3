/** What is to come: a few of the particles run on at given temperature and pressure. */
import { at, type Cloud, contentOf, copyCloud, copyParticle, createCloud } from './cloud.ts';
import type { Course } from './course.ts';
import { type Around, ferment, leapOpen, sweepOpen } from './motion.ts';
import { weightedQuantiles } from './quantiles.ts';
import type { HoursAhead } from './types.ts';
import { around } from './walk.ts';

const SCOUTS = 96;

export interface AheadConditions {
  readonly beerC: number;
  readonly headspaceKpaGauge: number;
  readonly ambientKpaAbsolute: number;
  readonly horizonHours: number;
}

/**
 * Particles of equal weight that stand for all: taken at even steps of the summed weight, so that no chance is needed.
 * `order` names the particles in the order in which they are passed; their own if left out.
 */
export function scoutsOf(cloud: Cloud, weights: Float64Array, count = SCOUTS, order?: Uint16Array): Cloud {
  const scouts = createCloud(count, count);
  const named = (place: number) => order?.[place] ?? place;
  let place = 0;
  let reached = at(weights, named(0));
  for (let turn = 0; turn < count; turn += 1) {
    while (reached < (turn + 0.5) / count && place < cloud.size - 1) {
      place += 1;
      reached += at(weights, named(place));
    }
    copyParticle(cloud, named(place), scouts, turn);
  }
  return scouts;
}

const PACE_H = 12;
/** Contents are told apart to this (volumes). */
const GRAIN = 1e-6;

/** Scouts in the order of what they will hold half a day on: few then stand for the first and the last of all to arrive. */
export function scoutsByPace(cloud: Cloud, weights: Float64Array, under: Course, count = SCOUTS): Cloud {
  const later = copyCloud(cloud);
  const now = around(under, PACE_H * 3600, 'still');
  // Numbers sort far faster than whatever is compared by a function: each carries its particle.
  const keys = new Float64Array(cloud.size);
  for (let index = 0; index < cloud.size; index += 1) {
    runScout(later, index, now);
    keys[index] = Math.round(contentOf(later, index) / GRAIN) * cloud.size + index;
  }
  const order = Uint16Array.from(keys.sort(), (key) => key % cloud.size);
  return scoutsOf(cloud, weights, count, order);
}

interface Conditions {
  readonly beerC: number;
  readonly kpaGauge: number;
  readonly ambientKpaAbsolute: number;
}

/** A course under other conditions: at rest, with every probe speaking. */
export function courseUnder(course: Course, now: Conditions): Course {
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

/** One scout goes on at rest for some hours. */
function runScout(scouts: Cloud, index: number, now: Around): void {
  leapOpen(scouts, index, now);
  ferment(scouts, index, index + 1, now);
}

interface Leap {
  /** Hours from now at its beginning and its end. */
  readonly from: number;
  readonly until: number;
  readonly now: Around;
}

/** Short steps at first, where an hour matters; long ones later. */
function leapsWithin(horizonHours: number, under: Course): Leap[] {
  const leaps: Leap[] = [];
  for (let from = 0; from < horizonHours; ) {
    const until = Math.min(horizonHours, from + Math.min(12, Math.max(0.25, 0.25 * from)));
    leaps.push({ from, until, now: around(under, (until - from) * 3600, 'still') });
    from = until;
  }
  return leaps;
}

interface Goal {
  readonly low: number;
  readonly high: number;
}

const STRIDE_H = { first: 1 / 3, longest: 12, share: 0.25 } as const;

/** All particles are on gas at rest for a long time: strides grow, as the content changes ever more slowly. */
export function strideOn(cloud: Cloud, course: Course, hours: number): void {
  let reached = 0;
  while (hours - reached > 1e-9) {
    const free = Math.max(STRIDE_H.first, Math.min(STRIDE_H.longest, STRIDE_H.share * reached));
    const stride = Math.min(free, hours - reached);
    runScouts(cloud, course, stride);
    const now = around(course, stride * 3600, 'still');
    for (let index = cloud.tight; index < cloud.size; index += 1) sweepOpen(cloud, index, now);
    reached += stride;
  }
}

/** All scouts go on at rest for some hours. */
export function runScouts(scouts: Cloud, course: Course, hours: number): void {
  const now = around(course, hours * 3600, 'still');
  for (let index = 0; index < scouts.size; index += 1) runScout(scouts, index, now);
}

/** Hours until the content lies within the goal; null if for half of the particles that is beyond the horizon. */
export function hoursUntilWithin(
  cloud: Cloud,
  weights: Float64Array,
  course: Course,
  goal: Goal,
  ahead: AheadConditions,
): HoursAhead | null {
  const { beerC, headspaceKpaGauge: kpaGauge, ambientKpaAbsolute, horizonHours } = ahead;
  if (![beerC, kpaGauge, ambientKpaAbsolute, horizonHours].every(Number.isFinite)) return null;
  const under = courseUnder(course, { beerC, kpaGauge, ambientKpaAbsolute });
  const scouts = scoutsByPace(cloud, weights, under);
  const leaps = leapsWithin(horizonHours, under);
  const found = new Float64Array(SCOUTS);
  for (let index = 0; index < SCOUTS; index += 1) {
    found[index] = arrivalOf(scouts, index, goal, leaps, horizonHours) ?? 2 * horizonHours + 1;
  }
  found.sort();
  const pick = (share: number) => at(found, Math.round(share * SCOUTS - 0.5));
  if (pick(0.5) > horizonHours) return null;
  return { hours: pick(0.5), lowHours: pick(0.05), highHours: Math.min(horizonHours, pick(0.95)) };
}

/** Hours until the share of particles that are past a content reaches `risk`; null: not within the horizon. */
export function hoursUntilAbove(
  cloud: Cloud,
  weights: Float64Array,
  course: Course,
  volumes: number,
  ahead: AheadConditions,
  risk: number,
): number | null {
  const { beerC, headspaceKpaGauge: kpaGauge, ambientKpaAbsolute, horizonHours } = ahead;
  if (![beerC, kpaGauge, ambientKpaAbsolute, horizonHours].every(Number.isFinite)) return null;
  const under = courseUnder(course, { beerC, kpaGauge, ambientKpaAbsolute });
  const scouts = scoutsByPace(cloud, weights, under);
  const leaps = leapsWithin(horizonHours, under);
  const found = new Float64Array(SCOUTS);
  const goal = { low: volumes, high: Number.POSITIVE_INFINITY };
  for (let index = 0; index < SCOUTS; index += 1) {
    found[index] = arrivalOf(scouts, index, goal, leaps, horizonHours) ?? Number.POSITIVE_INFINITY;
  }
  found.sort();
  const hours = at(found, Math.min(SCOUTS - 1, Math.floor(risk * SCOUTS)));
  return hours <= horizonHours ? hours : null;
}

/** When a scout comes within the goal (h), by a straight line between two looks; null: not within the horizon. */
function arrivalOf(
  scouts: Cloud,
  index: number,
  goal: Goal,
  leaps: readonly Leap[],
  horizonHours: number,
): number | null {
  let before = contentOf(scouts, index);
  if (before >= goal.low && before <= goal.high) return 0;
  const rising = before < goal.low;
  const edge = rising ? goal.low : goal.high;
  for (const { from, until, now } of leaps) {
    runScout(scouts, index, now);
    const content = contentOf(scouts, index);
    // A long leap may pass right through a narrow goal.
    if (rising ? content >= edge : content <= edge) {
      return from + ((until - from) * (edge - before)) / (content - before);
    }
    // It only ever slows down, so that what is too far at three times the present pace is never reached.
    const reach = (3 * Math.abs(content - before) * (horizonHours - until)) / (until - from);
    if (Math.abs(edge - content) > reach) break;
    before = content;
  }
  return null;
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
      const now = around(under, step * 3600, 'still');
      for (let index = 0; index < SCOUTS; index += 1) runScout(scouts, index, now);
      hours += step;
    }
    for (let index = 0; index < SCOUTS; index += 1) contents[index] = contentOf(scouts, index);
    const [low = 0, volumes = 0, high = 0] = weightedQuantiles(contents, even, [0.05, 0.5, 0.95]);
    return { hours: point.hours, low, volumes, high };
  });
}
