import { STEP_MS, stepStart } from './clean/step.ts';
import type { HoursAhead } from './estimate/types.ts';
import type { KegEvent } from './event.ts';
import type { FillingEvent } from './keg-track-events.ts';
import type { TrackInputs } from './keg-track-inputs.ts';
import type { CoolingWatch, EstimateModel } from './keg-track-types.ts';

/** What is asked of the cooling at a moment. */
export interface CoolingQuestion {
  readonly filling: FillingEvent;
  /** In order of time. */
  readonly events: readonly KegEvent[];
  /** What the fridge was last set to; null if nobody said. */
  readonly fridgeC: number | null;
  readonly goalC: number;
  /** End of the last whole step. */
  readonly untilMs: number;
  readonly nowMs: number;
}

/** The longest course of cooling that is looked at (ms). */
const COURSE_MS = 3 * 24 * 3600_000;

/** Feeds the temperatures of a batch to the estimate of its cooling, from the last change of its surroundings on. */
export class CoolingTrack {
  readonly #model: EstimateModel;
  readonly #inputs: TrackInputs;
  #course: { readonly key: string; readonly watch: CoolingWatch; fedToMs: number } | null = null;

  constructor(model: EstimateModel, inputs: TrackInputs) {
    this.#model = model;
    this.#inputs = inputs;
  }

  /** Readings or entries from this moment on are others than before. */
  changed(fromMs: number): void {
    if (this.#course !== null && fromMs < this.#course.fedToMs) this.#course = null;
  }

  /** Hours until the goal, or null if it never gets there or nothing is known. */
  hoursUntil(question: CoolingQuestion): HoursAhead | null {
    const { filling, fridgeC, untilMs, goalC, nowMs } = question;
    const fromMs = courseFromMs(question);
    const key = `${fromMs} ${fridgeC}`;
    if (this.#course === null || this.#course.key !== key || this.#course.fedToMs > untilMs) {
      const startC = fromMs === filling.atMs ? (filling.body.beerCelsius ?? null) : null;
      const firstC = startC ?? this.#firstC(fromMs, untilMs);
      if (firstC === null) return null;
      // With nothing said of the fridge, someone who wants cold beer is taken to have set it so.
      const setC = fridgeC ?? goalC - 0.5;
      const watch = this.#model.watchCooling(setC, firstC, filling.body.beerLitres, filling.body.probe);
      this.#course = { key, watch, fedToMs: stepStart(fromMs) };
    }
    const { watch } = this.#course;
    for (; this.#course.fedToMs < untilMs; this.#course.fedToMs += STEP_MS) {
      const beerC = this.#beerC(this.#course.fedToMs);
      if (beerC !== null) watch.observe(this.#course.fedToMs + STEP_MS / 2, beerC);
    }
    return watch.hoursUntil(goalC, nowMs);
  }

  /** The keg's time constant by what was last asked about (h); null: nothing was, or nothing is known. */
  timeConstant(): HoursAhead | null {
    return this.#course?.watch.timeConstant() ?? null;
  }

  #beerC(startMs: number): number | null {
    return this.#inputs.step(startMs, 0, true).beerC;
  }

  #firstC(fromMs: number, untilMs: number): number | null {
    for (let startMs = stepStart(fromMs); startMs < untilMs; startMs += STEP_MS) {
      const beerC = this.#beerC(startMs);
      if (beerC !== null) return beerC;
    }
    return null;
  }
}

/** When the present course began: at the filling, or when the keg or its fridge's setting was last changed. */
function courseFromMs({ filling, events, nowMs }: CoolingQuestion): number {
  const change = events.findLast(
    ({ atMs, body }) => atMs <= nowMs && (body.kind === 'fridge-set' || body.kind === 'keg-moved'),
  );
  // Set on the day of the filling, it is part of it: the start is better known than the first reading.
  const sinceMs = change === undefined || change.atMs < filling.atMs + 3600_000 ? filling.atMs : change.atMs;
  if (nowMs - sinceMs <= COURSE_MS) return sinceMs;
  // Long after, only the last days count; they move on by whole days, so that the course is not begun anew each step.
  return sinceMs + Math.floor((nowMs - sinceMs - COURSE_MS) / (COURSE_MS / 3) + 1) * (COURSE_MS / 3);
}
