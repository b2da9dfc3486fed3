import { STEP_MS, stepStart } from './clean/step.ts';
import { handedOn, learntTimeConstant } from './estimate/cooling.ts';
import type { Belief } from './estimate/learning.ts';
import type { HoursAhead } from './estimate/types.ts';
import type { KegEvent } from './event.ts';
import { kegFactsAt } from './keg-facts.ts';
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

/** A course of cooling: from a change of what is around the keg to the next, or for some days. */
export interface CoolingCourse {
  readonly fromMs: number;
  readonly untilMs: number;
}

/** The longest course of cooling that is looked at (ms). */
const COURSE_MS = 3 * 24 * 3600_000;
/** What is set or moved this soon after a filling is part of it (ms). */
const PART_OF_FILLING_MS = 3600_000;
/** With nothing said of the fridge, someone who wants cold beer is taken to have set it this far below (K). */
const BELOW_GOAL_K = 0.5;

/** Feeds the temperatures of a batch to the estimate of its cooling, from the last change of its surroundings on. */
export class CoolingTrack {
  readonly #model: EstimateModel;
  readonly #inputs: TrackInputs;
  /** What the keg's last batch taught of its cooling (ln h); null: nothing. */
  readonly #learnt: Belief | null;
  #course: { readonly key: string; readonly watch: CoolingWatch; fedToMs: number } | null = null;

  constructor(model: EstimateModel, inputs: TrackInputs, learnt: Belief | null) {
    this.#model = model;
    this.#inputs = inputs;
    this.#learnt = learnt;
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
      const setC = fridgeC ?? goalC - BELOW_GOAL_K;
      const { beerLitres, probe } = filling.body;
      const watch = this.#model.watchCooling(setC, firstC, beerLitres, probe, this.#learnt);
      this.#course = { key, watch, fedToMs: stepStart(fromMs) };
    }
    const { watch } = this.#course;
    this.#feed(watch, this.#course.fedToMs, untilMs);
    this.#course.fedToMs = Math.max(this.#course.fedToMs, untilMs);
    return watch.hoursUntil(goalC, nowMs);
  }

  /**
   * The keg's time constant (h) by what was last asked about, else by what was learnt of it; null: neither says anything.
   * `litres`: the size of its filling.
   */
  timeConstant(litres: number | null): HoursAhead | null {
    const seen = this.#course?.watch.timeConstant() ?? null;
    if (seen !== null || this.#learnt === null || litres === null) return seen;
    return learntTimeConstant(this.#learnt, litres);
  }

  /** What a course taught of the keg, by itself; null: too little. */
  taughtBy({ fromMs, untilMs }: CoolingCourse, filling: FillingEvent, events: readonly KegEvent[]): Belief | null {
    const startC = fromMs === filling.atMs ? (filling.body.beerCelsius ?? null) : null;
    const firstC = startC ?? this.#firstC(fromMs, untilMs);
    if (firstC === null) return null;
    const { fridgeCelsius, target } = kegFactsAt(events, Math.min(untilMs, fromMs + PART_OF_FILLING_MS) - 1);
    const { beerLitres, probe } = filling.body;
    const watch = this.#model.watchCooling(fridgeCelsius ?? target.celsius, firstC, beerLitres, probe, null);
    this.#feed(watch, stepStart(fromMs), untilMs);
    return watch.taught();
  }

  /** What a batch hands on that taught nothing of its own; null: nothing. */
  handedOn(): Belief | null {
    return this.#learnt === null ? null : handedOn(this.#learnt);
  }

  #feed(watch: CoolingWatch, fromMs: number, untilMs: number): void {
    for (let startMs = fromMs; startMs < untilMs; startMs += STEP_MS) {
      const beerC = this.#beerC(startMs);
      if (beerC !== null) watch.observe(startMs + STEP_MS / 2, beerC);
    }
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
  const sinceMs = change === undefined || change.atMs < filling.atMs + PART_OF_FILLING_MS ? filling.atMs : change.atMs;
  if (nowMs - sinceMs <= COURSE_MS) return sinceMs;
  // Long after, only the last days count; they move on by whole days, so that the course is not begun anew each step.
  return sinceMs + Math.floor((nowMs - sinceMs - COURSE_MS) / (COURSE_MS / 3) + 1) * (COURSE_MS / 3);
}

/** All courses of a batch. Only the first days after a change count: by then beer is as cold as it gets. */
export function coursesOf(filling: FillingEvent, events: readonly KegEvent[]): readonly CoolingCourse[] {
  const changes = events.filter(
    ({ atMs, body }) =>
      (body.kind === 'fridge-set' || body.kind === 'keg-moved') && atMs >= filling.atMs + PART_OF_FILLING_MS,
  );
  const starts = [filling.atMs, ...changes.map(({ atMs }) => atMs)];
  return starts.map((fromMs, index) => ({
    fromMs,
    untilMs: stepStart(Math.min(starts[index + 1] ?? Number.POSITIVE_INFINITY, fromMs + COURSE_MS)),
  }));
}
