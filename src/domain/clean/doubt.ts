import type { Quantity } from '../quantity.ts';
import type { Point } from './points.ts';

const MINUTE_MS = 60_000;
/** Readings in a row that must agree before a jump is believed. */
const WITNESSES = 3;

interface Reach {
  /** What a moment can bring. */
  readonly atOnce: number;
  readonly perMinute: number;
}

/**
 * How far a value can change from one reading to the next (°C, kPa): a keg of beer holds its heat, air follows a door, and
 * weather is slow. Pressures in kegs and lines follow a valve at once, masses a hand, and CO2 in a room must be believed: they
 * have no limit. Chosen, no source.
 */
const REACH: Readonly<Partial<Record<Quantity, Reach>>> = {
  'beer-temperature': { atOnce: 10, perMinute: 1 },
  'air-temperature': { atOnce: 20, perMinute: 3 },
  'bottle-temperature': { atOnce: 20, perMinute: 3 },
  'ambient-pressure': { atOnce: 3, perMinute: 0.2 },
};

/** What a probe said lately: what is believed, and what came after it and is not yet. */
export interface Believed {
  readonly last: Point;
  readonly doubted: readonly Point[];
}

/**
 * Takes the next reading in, in order of time. A jump that nothing physical makes is doubted, and believed once three in a
 * row agree: then it was real, such as a probe that was put elsewhere.
 */
export function weigh(quantity: Quantity, before: Believed | null, point: Point): Believed {
  if (before === null || !isJump(quantity, before.last, point)) return { last: point, doubted: [] };
  const previous = before.doubted.at(-1);
  const agreeing = previous !== undefined && !isJump(quantity, previous, point) ? before.doubted : [];
  const doubted = [...agreeing, point];
  return doubted.length >= WITNESSES ? { last: point, doubted: [] } : { last: before.last, doubted };
}

/** The largest change that is believed at once (°C, kPa); null if whatever comes is believed. */
export function atOnce(quantity: Quantity): number | null {
  return REACH[quantity]?.atOnce ?? null;
}

/**
 * Readings of a past time, in order, told apart. Other than live it is known here what came after: a jump that was
 * confirmed is believed from its first reading on. The last ones may be doubted only because nothing came after them yet.
 */
export function toldApart<P extends Point>(
  quantity: Quantity,
  points: readonly P[],
): { readonly believed: readonly P[]; readonly doubted: readonly P[] } {
  const doubted = new Set<Point>();
  let state: Believed | null = null;
  for (const point of points) {
    const before: Believed | null = state;
    state = weigh(quantity, before, point);
    if (state.last !== point) doubted.add(point);
    else if (before !== null && isJump(quantity, before.last, point)) {
      for (const witness of before.doubted) doubted.delete(witness);
    }
  }
  return {
    believed: points.filter((point) => !doubted.has(point)),
    doubted: points.filter((point) => doubted.has(point)),
  };
}

function isJump(quantity: Quantity, from: Point, to: Point): boolean {
  const reach = REACH[quantity];
  if (reach === undefined) return false;
  const minutes = Math.max(0, to.atMs - from.atMs) / MINUTE_MS;
  return Math.abs(to.value - from.value) > reach.atOnce + reach.perMinute * minutes;
}
