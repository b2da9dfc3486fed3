/** What is to come: a few of the particles run on at given temperature and pressure. */
import { at, type Cloud, contentOf, copyCloud, copyParticle, createCloud } from './cloud.ts';
import type { Course } from './course.ts';
import { type Around, ferment, leapOpen, sweepOpen } from './motion.ts';
import { weightedQuantiles } from './quantiles.ts';
import type { HoursAhead } from './types.ts';
import { around } from './walk.ts';

const SCOUTS = 64;
/** Those of a forecast, which are taken as they lie. */
const FORECASTERS = 96;

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
export function scoutsOf(cloud: Cloud, weights: Float64Array, count: number, order?: Uint16Array): Cloud {
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
  const now = around(under, PACE_H * 3600, 'still');
  // Numbers sort far faster than whatever is compared by a function: each carries its particle.
  const keys = new Float64Array(cloud.size);
  for (let index = 0; index < cloud.size; index += 1) {
    keys[index] = Math.round(contentLater(cloud, index, now) / GRAIN) * cloud.size + index;
  }
  const order = Uint16Array.from(keys.sort(), (key) => key % cloud.size);
  return scoutsOf(cloud, weights, count, order);
}

/** What a particle will hold; it stays as it is, which is cheaper than copies of a thousand. */
function contentLater(cloud: Cloud, index: number, now: Around): number {
  const { top, bulk, deep, sugar } = cloud.columns;
  const kept = [at(top, index), at(bulk, index), at(deep, index), at(sugar, index)] as const;
  runScout(cloud, index, now);
  const content = contentOf(cloud, index);
  [top[index], bulk[index], deep[index], sugar[index]] = kept;
  return content;
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

/** The few that are sent ahead under given conditions; several questions may be asked of them. */
export interface Lookout {
  readonly scouts: Cloud;
  readonly under: Course;
}

export function lookoutOf(cloud: Cloud, weights: Float64Array, course: Course, ahead: AheadConditions): Lookout {
  const { beerC, headspaceKpaGauge: kpaGauge, ambientKpaAbsolute } = ahead;
  const under = courseUnder(course, { beerC, kpaGauge, ambientKpaAbsolute });
  return { scouts: scoutsByPace(cloud, weights, under), under };
}

/** Hours until the content lies within the goal; null if for half of the particles that is beyond the horizon. */
export function hoursUntilWithin(lookout: Lookout, goal: Goal, horizonHours: number): HoursAhead | null {
  const found = arrivalsOf(lookout, goal, horizonHours);
  const pick = (share: number) => {
    const place = share * found.length - 0.5;
    const earlier = at(found, Math.floor(place));
    const later = at(found, Math.ceil(place));
    return later > earlier ? earlier + (place % 1) * (later - earlier) : earlier;
  };
  if (pick(0.5) > horizonHours) return null;
  return { hours: pick(0.5), lowHours: pick(0.05), highHours: Math.min(horizonHours, pick(0.95)) };
}

/** Hours until the share of particles that are past a content reaches `risk`; null: not within the horizon. */
export function hoursUntilAbove(lookout: Lookout, volumes: number, horizonHours: number, risk: number): number | null {
  const found = arrivalsOf(lookout, { low: volumes, high: Number.POSITIVE_INFINITY }, horizonHours);
  const hours = at(found, Math.min(found.length - 1, Math.floor(risk * found.length)));
  return hours <= horizonHours ? hours : null;
}

/** When each scout comes within the goal (h), in order; infinite: not within the horizon. */
function arrivalsOf({ scouts, under }: Lookout, goal: Goal, horizonHours: number): Float64Array {
  const going = copyCloud(scouts);
  const leaps = leapsWithin(horizonHours, under);
  const found = new Float64Array(going.size);
  for (let index = 0; index < going.size; index += 1) {
    found[index] = arrivalOf(going, index, goal, leaps, horizonHours) ?? Number.POSITIVE_INFINITY;
  }
  return found.sort();
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
  const scouts = scoutsOf(cloud, weights, FORECASTERS);
  const even = new Float64Array(FORECASTERS).fill(1 / FORECASTERS);
  const contents = new Float64Array(FORECASTERS);
  let hours = 0;
  return path.map((point) => {
    const under = courseUnder(course, { ...point, ambientKpaAbsolute });
    while (point.hours - hours > 1e-9) {
      const step = Math.min(2, point.hours - hours);
      const now = around(under, step * 3600, 'still');
      for (let index = 0; index < FORECASTERS; index += 1) runScout(scouts, index, now);
      hours += step;
    }
    for (let index = 0; index < FORECASTERS; index += 1) contents[index] = contentOf(scouts, index);
    const [low = 0, volumes = 0, high = 0] = weightedQuantiles(contents, even, [0.05, 0.5, 0.95]);
    return { hours: point.hours, low, volumes, high };
  });
}
