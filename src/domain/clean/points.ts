import { STEP_MS, stepStart } from './step.ts';

/** One value of a probe, as precise as it came. */
export interface Point {
  readonly atMs: number;
  readonly value: number;
}

/**
 * Points kept of one step. A faster probe is thinned: the mean of forty values is as good as any, and memory stays
 * bounded.
 */
const POINTS_MAX = 40;

/**
 * The points of one probe by step. What is kept depends on what was heard alone, not on the order in which it came:
 * doubles count once, and thinning picks by the points themselves.
 */
export class ProbePoints {
  readonly #steps = new Map<number, readonly Point[]>();
  #newestMs = Number.NEGATIVE_INFINITY;

  /** Takes a point in; false if it changed nothing (a double, or one too many). */
  add(point: Point): boolean {
    const startMs = stepStart(point.atMs);
    const known = this.#steps.get(startMs) ?? [];
    const after = known.findIndex((other) => compare(other, point) >= 0);
    const place = after < 0 ? known.length : after;
    const there = known[place];
    if (there !== undefined && compare(there, point) === 0) return false;
    const grown = known.toSpliced(place, 0, point);
    const kept = grown.length > POINTS_MAX ? thinned(grown) : grown;
    this.#steps.set(startMs, kept);
    this.#newestMs = Math.max(this.#newestMs, point.atMs);
    return kept.includes(point);
  }

  /** Points of the step that begins there, in order of time. */
  at(startMs: number): readonly Point[] {
    return this.#steps.get(startMs) ?? [];
  }

  /** The newest points before a moment, at most `count` and none older than `withinMs`, in order of time. */
  before(untilMs: number, count: number, withinMs: number): readonly Point[] {
    const found: Point[] = [];
    // Beyond the newest point lies nothing: a silent probe is not searched step by step.
    const lastStep = stepStart(Math.min(untilMs - 1, this.#newestMs));
    for (let startMs = lastStep; startMs > untilMs - withinMs - STEP_MS; startMs -= STEP_MS) {
      const points = this.at(startMs);
      for (let index = points.length - 1; index >= 0; index -= 1) {
        const point = points[index];
        if (point === undefined || point.atMs >= untilMs) continue;
        if (point.atMs < untilMs - withinMs || found.length === count) return found.reverse();
        found.push(point);
      }
    }
    return found.reverse();
  }

  /** Forgets the steps that begin before a moment. */
  forgetBefore(untilMs: number): void {
    for (const startMs of this.#steps.keys()) if (startMs < untilMs) this.#steps.delete(startMs);
  }
}

function compare(a: Point, b: Point): number {
  return a.atMs - b.atMs || a.value - b.value;
}

/** Drops the point with the greatest mark: the same points stay, whatever the order in which they came. */
function thinned(points: readonly Point[]): readonly Point[] {
  const marks = points.map(mark);
  const drop = marks.indexOf(Math.max(...marks));
  return points.toSpliced(drop, 1);
}

/** A number that looks drawn by lot and depends on the point alone (multiplicative hashing, Knuth, TAOCP 3, 6.4). */
function mark({ atMs, value }: Point): number {
  const folded = Math.imul(atMs % 0x7fffffff, 0x9e3779b1) ^ Math.imul(Math.round(value * 4096), 0x85ebca6b);
  return Math.imul(folded ^ (folded >>> 15), 0xc2b2ae35) >>> 0;
}
