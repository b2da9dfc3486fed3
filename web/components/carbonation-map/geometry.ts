import { equilibriumPressure, equilibriumVolumes } from '../../../src/physics/carbonation.ts';
import { beerFreezingPoint } from '../../../src/physics/freezing.ts';
import { celsius, kpaAbsolute, volumes } from '../../../src/physics/units.ts';

/** Everything about the carbonation map that can be told without drawing it. Temperatures in °C, pressures in kPa gauge. */
export interface MapFacts extends Air {
  readonly target: { readonly volumes: number; readonly low: number; readonly high: number; readonly celsius: number };
  /** The setting that the service advises; null if it can tell none. */
  readonly advisedKpaGauge: number | null;
  /** Null: 3.5 % is assumed. */
  readonly abvPercent: number | null;
  readonly now: Point | null;
  readonly trail: readonly TrailPoint[];
}

/** What stands between gauge pressure and the pressure of CO2. */
export interface Air {
  readonly ambientKpaAbsolute: number;
  /** Share of CO2 in the gas: 1 for pure CO2. */
  readonly co2Ratio: number;
}

/** Temperature and gauge pressure. */
export interface Point {
  readonly celsius: number;
  readonly kpaGauge: number;
}

/** A point of the trail; null values are a gap. */
export interface TrailPoint {
  readonly atMs: number;
  readonly celsius: number | null;
  readonly kpaGauge: number | null;
}

export interface Extent {
  readonly coldC: number;
  readonly warmC: number;
  readonly lowKpa: number;
  readonly highKpa: number;
}

/** Alcohol assumed where none was entered (% by volume): a light beer, which freezes early, so it is the safe side. */
export const ASSUMED_ABV_PERCENT = 3.5;
/** Pressure from which beer pours steadily into a bottle (kPa gauge). Common practice, no source. */
export const SERVING_KPA = { low: 55, high: 83 } as const;
/** Distance kept from freezing (°C). Common practice, no source. */
export const FREEZING_MARGIN_C = 1;
/** Where the published solubility fit holds (°C); `solubilityVolumesPerKpa` refuses beyond. */
const FIT = { coldC: -3, warmC: 40 } as const;
/** A setting this near to the present pressure needs no arrow: gauges are no better. */
const SAME_KPA = 3;
/** Beer warmer than its fill temperature by more will be chilled first (°C): as the service judges "cold". */
const COLD_MARGIN_C = 0.2;
/** How far from the present the map follows the trail. */
const NEAR_C = 6;
const NEAR_KPA = 60;

/** Where the beer begins to freeze, from its alcohol (°C). */
export function freezingC(abvPercent: number | null): number {
  return beerFreezingPoint(Math.min(12, Math.max(0, abvPercent ?? ASSUMED_ABV_PERCENT)));
}

/** Gauge pressure that holds a carbonation at a temperature, in local air (kPa gauge). */
export function pressureFor(carbonation: number, temperatureC: number, air: Air): number {
  const held = Math.min(FIT.warmC, Math.max(FIT.coldC, temperatureC));
  return equilibriumPressure(volumes(Math.max(0, carbonation)), celsius(held)) / air.co2Ratio - air.ambientKpaAbsolute;
}

/** What beer would hold in the end at a point of the map (volumes); null where the fit does not reach. */
export function volumesAt(point: Point, air: Air): number | null {
  const co2 = (point.kpaGauge + air.ambientKpaAbsolute) * air.co2Ratio;
  if (point.celsius < FIT.coldC || point.celsius > FIT.warmC || co2 < 0 || co2 > 1000) return null;
  return equilibriumVolumes(celsius(point.celsius), kpaAbsolute(co2));
}

/** The part of the world to draw: all of window, present, trail and freezing edge, and a little air around. */
export function mapExtent(facts: MapFacts): Extent {
  const heard = facts.trail.filter((point) => point.celsius !== null && point.kpaGauge !== null);
  const temperatures = [...heard.map((point) => point.celsius ?? 0), ...(facts.now ? [facts.now.celsius] : [])];
  const pressures = [...heard.map((point) => point.kpaGauge ?? 0), ...(facts.now ? [facts.now.kpaGauge] : [])];
  const freezing = freezingC(facts.abvPercent);
  const nowC = facts.now?.celsius ?? facts.target.celsius;
  const nowKpa = facts.now?.kpaGauge ?? SERVING_KPA.low;
  // A trail that comes from far away runs in over the edge: what matters is where the keg stands and should go.
  const trailC = Math.min(nowC + NEAR_C, Math.max(nowC, ...temperatures) + 0.8);
  const trailLowKpa = Math.max(nowKpa - NEAR_KPA, Math.min(nowKpa, ...pressures) - 8);
  const trailHighKpa = Math.min(nowKpa + NEAR_KPA, Math.max(nowKpa, ...pressures) + 14);
  const coldC = Math.max(FIT.coldC, Math.min(freezing - 1, ...temperatures.map((value) => value - 0.4)));
  const warmC = Math.min(FIT.warmC, Math.max(facts.target.celsius + 4.5, nowC + 1.5, trailC));
  const settingKpa = pressureFor(facts.target.volumes, facts.target.celsius, facts);
  const lowKpa = Math.max(-20, Math.min(38, settingKpa - 12, trailLowKpa));
  const highKpa = Math.min(500, Math.max(102, settingKpa + 18, trailHighKpa));
  return { coldC, warmC, lowKpa, highKpa };
}

/** A line of equal carbonation across the extent. */
export function contour(carbonation: number, extent: Extent, air: Air, steps = 48): Point[] {
  return Array.from({ length: steps + 1 }, (_, index) => {
    const at = extent.coldC + ((extent.warmC - extent.coldC) * index) / steps;
    return { celsius: at, kpaGauge: pressureFor(carbonation, at, air) };
  });
}

/** A line of the map: its carbonation, and the same as the reader's round number. */
export interface Level {
  readonly volumes: number;
  readonly shown: number;
  /** How many steps from nought: every fifth line is a strong one. */
  readonly steps: number;
}

/** Lines for people who think in a unit: a round step, and how many of the unit are a volume. */
export interface LineUnit {
  readonly step: number;
  readonly perVolume: number;
}

/** Lines for an extent, at round numbers of the reader's unit; only every fifth where the extent is wide. */
export function contourLevels(extent: Extent, air: Air, { step, perVolume }: LineUnit): Level[] {
  const corner = (at: Point): number => (volumesAt(at, air) ?? 0) * (perVolume / step);
  const least = corner({ celsius: extent.warmC, kpaGauge: extent.lowKpa });
  const most = corner({ celsius: extent.coldC, kpaGauge: extent.highKpa });
  const every = most - least > 45 ? 5 : 1;
  const levels: Level[] = [];
  for (let steps = Math.ceil(least / every) * every; steps <= most; steps += every) {
    levels.push({ steps, shown: steps * step, volumes: (steps * step) / perVolume });
  }
  return levels;
}

/**
 * Where bottles can be filled from: right carbonation, no warmer than wished, clear of freezing, at serving pressure.
 * Cut by these limits it is rarely a rectangle, and it may be empty: then no setting does it all.
 */
export function fillRegion(facts: Air & Pick<MapFacts, 'target' | 'abvPercent'>): Point[] {
  const from = Math.max(FIT.coldC, freezingC(facts.abvPercent) + FREEZING_MARGIN_C);
  const to = facts.target.celsius;
  if (from >= to) return [];
  const STEPS = 80;
  const upper: Point[] = [];
  const lower: Point[] = [];
  for (let index = 0; index <= STEPS; index += 1) {
    const at = from + ((to - from) * index) / STEPS;
    const top = Math.min(pressureFor(facts.target.high, at, facts), SERVING_KPA.high);
    const bottom = Math.max(pressureFor(facts.target.low, at, facts), SERVING_KPA.low);
    if (top <= bottom) continue;
    upper.push({ celsius: at, kpaGauge: top });
    lower.push({ celsius: at, kpaGauge: bottom });
  }
  return [...upper, ...lower.reverse()];
}

export interface Setting extends Point {
  /** True if the pressure stands for beer chilled to its fill temperature, not for the beer as it is. */
  readonly whenCold: boolean;
}

/**
 * Where the service's advised setting lies on the map: at the temperature at which the beer will be filled. Null if
 * nothing is advised or heard, or if what is set is right or as good as right.
 */
export function settingFor(facts: MapFacts): Setting | null {
  const { now, target, advisedKpaGauge: kpaGauge } = facts;
  if (now === null || kpaGauge === null) return null;
  const whenCold = now.celsius > target.celsius + COLD_MARGIN_C;
  const heading = volumesAt(now, facts);
  const served = now.kpaGauge >= SERVING_KPA.low && now.kpaGauge <= SERVING_KPA.high;
  const inside = heading !== null && heading >= target.low && heading <= target.high;
  if (inside && (served || whenCold)) return null;
  if (!whenCold && Math.abs(kpaGauge - now.kpaGauge) < SAME_KPA) return null;
  return { celsius: whenCold ? target.celsius : now.celsius, kpaGauge, whenCold };
}

export interface Interval {
  readonly fromMs: number;
  readonly toMs: number;
}

/** When the gas was closed, as far as it was entered: from a closing (or gas check) to the next opening (or its end). */
export function closedIntervals(
  events: readonly { readonly kind: string; readonly at: string }[],
  nowMs: number,
): Interval[] {
  const sorted = [...events].sort((a, b) => (a.at < b.at ? -1 : 1));
  const found: Interval[] = [];
  let closedAtMs: number | null = null;
  for (const event of sorted) {
    const closes = event.kind === 'gas-closed' || event.kind === 'gas-check-started';
    const opens = event.kind === 'gas-opened' || event.kind === 'gas-check-ended' || event.kind === 'keg-filled';
    if (closes && closedAtMs === null) closedAtMs = Date.parse(event.at);
    if (opens && closedAtMs !== null) {
      found.push({ fromMs: closedAtMs, toMs: Date.parse(event.at) });
      closedAtMs = null;
    }
  }
  if (closedAtMs !== null) found.push({ fromMs: closedAtMs, toMs: nowMs });
  return found;
}

/** Pieces of the trail between gaps; each is open or closed throughout, and neighbours share their joint. */
export function trailPieces(
  trail: readonly TrailPoint[],
  closed: readonly Interval[],
): { readonly closed: boolean; readonly points: Point[] }[] {
  const pieces: { closed: boolean; points: Point[] }[] = [];
  let last: { closed: boolean; points: Point[] } | null = null;
  for (const { atMs, celsius: at, kpaGauge } of trail) {
    if (at === null || kpaGauge === null) {
      last = null;
      continue;
    }
    const point = { celsius: at, kpaGauge };
    const isClosed = closed.some((interval) => atMs >= interval.fromMs && atMs <= interval.toMs);
    if (last === null || last.closed !== isClosed) {
      last?.points.push(point);
      last = { closed: isClosed, points: [point] };
      pieces.push(last);
    } else {
      last.points.push(point);
    }
  }
  return pieces;
}

/** The trail's point nearest to an instant, if it was heard within half an hour of it. */
export function trailAt(trail: readonly TrailPoint[], atMs: number): Point | null {
  const NEAR_MS = 1_800_000;
  let best: TrailPoint | null = null;
  for (const point of trail) {
    if (point.celsius === null || point.kpaGauge === null) continue;
    if (best === null || Math.abs(point.atMs - atMs) < Math.abs(best.atMs - atMs)) best = point;
  }
  if (best?.celsius == null || best.kpaGauge === null || Math.abs(best.atMs - atMs) > NEAR_MS) return null;
  return { celsius: best.celsius, kpaGauge: best.kpaGauge };
}
