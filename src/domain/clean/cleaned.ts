import { type Point, ProbePoints } from './points.ts';
import { STEP_MS, stepStart } from './step.ts';
import { isBelievable, WINDOW_MS, WINDOW_POINTS } from './wild.ts';

/** What one probe said within a step. */
export interface Cleaned {
  readonly mean: number;
  readonly count: number;
  /** When the last believed value was measured. */
  readonly lastAtMs: number;
}

/** Points of a window that lie after the one in its middle. */
const AFTER = Math.floor(WINDOW_POINTS / 2);

/** The readings of one probe, cleaned a step at a time; what a step gives rests on nothing later than its end. */
export class CleanSeries {
  readonly #points = new ProbePoints();
  readonly #usual: number;
  /** What was cleaned already and is still right. */
  readonly #known = new Map<number, Cleaned | null>();
  #newestStepMs = Number.NEGATIVE_INFINITY;

  /** `usual`: a change between readings that is never wild. */
  constructor(usual: number) {
    this.#usual = usual;
  }

  /** Takes a point in; false if it changed nothing. */
  add(point: Point): boolean {
    if (!this.#points.add(point)) return false;
    const stepMs = stepStart(point.atMs);
    this.#newestStepMs = Math.max(this.#newestStepMs, stepMs);
    // A point bears on its own step and on those whose windows look back to it.
    const reachMs = Math.min(this.#newestStepMs, point.atMs + WINDOW_MS);
    for (let startMs = stepMs; startMs <= reachMs; startMs += STEP_MS) this.#known.delete(startMs);
    return true;
  }

  /** Mean of the believed values of the step that begins there, or null. */
  step(startMs: number): Cleaned | null {
    if (startMs > this.#newestStepMs) return null;
    const known = this.#known.get(startMs);
    if (known !== undefined) return known;
    const cleaned = cleanStep(this.#points, startMs, this.#usual);
    this.#known.set(startMs, cleaned);
    return cleaned;
  }

  /** The newest step with a believed value that begins before `untilMs` and is no older than `withinMs`; else null. */
  last(untilMs: number, withinMs: number): Cleaned | null {
    const lastMs = Math.min(this.#newestStepMs, stepStart(untilMs - 1));
    for (let startMs = lastMs; startMs > untilMs - withinMs - STEP_MS; startMs -= STEP_MS) {
      const cleaned = this.step(startMs);
      if (cleaned !== null) return cleaned;
    }
    return null;
  }

  /** Times of the newest points before a moment, oldest first. */
  timesBefore(untilMs: number, count: number, withinMs: number): readonly number[] {
    return this.#points.before(untilMs, count, withinMs).map(({ atMs }) => atMs);
  }

  forgetBefore(untilMs: number): void {
    this.#points.forgetBefore(untilMs);
    for (const startMs of this.#known.keys()) if (startMs < untilMs) this.#known.delete(startMs);
  }
}

function cleanStep(points: ProbePoints, startMs: number, usual: number): Cleaned | null {
  const within = points.at(startMs);
  if (within.length === 0) return null;
  const all = [...points.before(startMs, WINDOW_POINTS - 1, WINDOW_MS), ...within];
  const earlier = all.length - within.length;
  let sum = 0;
  let count = 0;
  let lastAtMs = startMs;
  for (const [index, point] of within.entries()) {
    const end = Math.min(all.length, earlier + index + AFTER + 1);
    if (!isBelievable(point.value, all.slice(Math.max(0, end - WINDOW_POINTS), end), usual)) continue;
    sum += point.value;
    count += 1;
    lastAtMs = point.atMs;
  }
  return count === 0 ? null : { mean: sum / count, count, lastAtMs };
}
