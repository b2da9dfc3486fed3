import { airPressureAtAltitude } from '../physics/atmosphere.ts';
import { metres } from '../physics/units.ts';
import { STEP_MS, stepStart } from './clean/step.ts';
import type { Belief, KegLearning } from './estimate/learning.ts';
import type { DissolvedEstimate, HoursAhead, StepEvent } from './estimate/types.ts';
import { inOrder, type KegEvent } from './event.ts';
import { kegFactsAt } from './keg-facts.ts';
import { CoolingTrack, coursesOf } from './keg-track-cooling.ts';
import { carriedInto, type FillingEvent, fillingOf, isFilling, stepEventOf } from './keg-track-events.ts';
import { TrackInputs, type TrackReading } from './keg-track-inputs.ts';
import { type Mark, withMark } from './keg-track-marks.ts';
import { outlookOf } from './keg-track-outlook.ts';
import type { EstimateModel, RunningEstimate, TrackOutput, TrackSetup } from './keg-track-types.ts';

/** What a track holds at the border of two steps. */
interface Held {
  readonly filling: FillingEvent | null;
  readonly estimate: RunningEstimate | null;
  /** What the last course of cooling that is over taught of the keg (ln h); null: nothing yet. */
  readonly cooling: Belief | null;
}

/** The same, put aside: the estimate as its snapshot. */
export interface SavedHeld {
  readonly filling: FillingEvent | null;
  readonly snapshot: unknown;
  readonly cooling: Belief | null;
}

/** How far cleaning and outlook look back over readings (ms). */
const LOOK_BACK_MS = 4 * 24 * 3600_000;

/** Marks are set every so many steps: computing three steps again costs about as much as a mark. */
const MARK_STEPS = 3;
/** What was estimated is told on whole multiples of this (ms). */
export const TOLD_EVERY_MS = 3 * STEP_MS;

const NOTHING: Held = { filling: null, estimate: null, cooling: null };

/**
 * Where a track began to remember, put aside without readings and entries: whoever takes it up gives these again. Plain
 * values and typed arrays only, fit for a structured clone.
 */
export type TrackBase = Mark<SavedHeld>;

/** Told of each estimate at a whole multiple of `TOLD_EVERY_MS`, and again when it was computed anew. */
export type EstimateListener = (batchId: string, estimate: DissolvedEstimate) => void;

/**
 * Follows one keg: merges readings, in any order of arrival, and entries into the steps of the estimate. What it says of
 * a moment rests on nothing later, and once all is in, on the order of arrival no more: a late reading or a changed
 * entry is computed again from the mark before it.
 */
export class KegTrack {
  readonly #setup: TrackSetup;
  readonly #model: EstimateModel;
  readonly #inputs = new TrackInputs();
  readonly #cooling: CoolingTrack;
  readonly #tell: EstimateListener;
  #events: readonly KegEvent[] = [];
  #eventsByStep: ReadonlyMap<number, readonly KegEvent[]> = new Map();
  #held: Held = NOTHING;
  /** End of the last step that was computed; null before the first. */
  #doneToMs: number | null = null;
  #dirtyFromMs = Number.POSITIVE_INFINITY;
  #marks: readonly Mark<Held>[] = [];
  /** Where the track begins to remember: nothing older is taken. Null while it remembers all. */
  #base: Mark<Held> | null = null;
  /** Becomes the base when it is old enough. */
  #nextBase: Mark<Held> | null = null;

  constructor(setup: TrackSetup, model: EstimateModel, tell: EstimateListener = () => undefined) {
    this.#setup = setup;
    this.#model = model;
    this.#tell = tell;
    this.#cooling = new CoolingTrack(model, this.#inputs, setup.learnt?.cooling ?? null);
  }

  /**
   * A track that goes on from where another began to remember, with all the entries that one had; readings from there on
   * are to be given again by `accept`, some older ones by `lookBackOn`.
   */
  static fromBase(
    base: TrackBase,
    setup: TrackSetup,
    model: EstimateModel,
    events: readonly KegEvent[],
    tell?: EstimateListener,
  ): KegTrack {
    const track = new KegTrack(setup, model, tell);
    track.#setEvents(events);
    const mark = { atMs: base.atMs, held: restored(base.held, model) };
    track.#base = mark;
    track.#nextBase = mark;
    track.#marks = [mark];
    track.#held = copied(mark.held);
    track.#doneToMs = base.atMs;
    return track;
  }

  /** Where it begins to remember, for `fromBase`; null while it remembers all. */
  base(): TrackBase | null {
    return this.#base === null ? null : { atMs: this.#base.atMs, held: saved(this.#base.held) };
  }

  /** Readings and entries older than this no longer change anything (ms); null while it remembers all. */
  get rememberedFromMs(): number | null {
    return this.#base?.atMs ?? null;
  }

  /** End of the last step that was computed, as far as nothing came in since; null before the first. */
  get doneToMs(): number | null {
    return this.#doneToMs === null ? null : Math.min(this.#doneToMs, this.#dirtyFromMs);
  }

  /** What the batch has taught of its keg so far; null where nothing can be estimated. */
  learning(): KegLearning | null {
    this.#redo();
    const learning = this.#held.estimate?.learning() ?? null;
    const cooling = this.#taughtCooling();
    return learning === null || cooling === null ? learning : { ...learning, cooling };
  }

  /** How fast this keg follows its fridge (h); null: never seen cooling, neither since the track began nor before. */
  coolingConstant(): HoursAhead | null {
    return this.#cooling.timeConstant(this.#held.filling?.body.beerLitres ?? null);
  }

  /** An estimate that goes on by itself from the last step; null while the keg is empty or nothing can be estimated. */
  fork(): RunningEstimate | null {
    this.#redo();
    return this.#held.estimate?.copy() ?? null;
  }

  /** Cleaned pressures of the last steps before the present one, in order of time; none where nothing was heard. */
  pressures(sinceMs: number): readonly { readonly atMs: number; readonly kpaGauge: number }[] {
    const untilMs = this.#doneToMs;
    const filling = this.#held.filling;
    if (untilMs === null || filling === null) return [];
    const found: { atMs: number; kpaGauge: number }[] = [];
    for (let atMs = Math.max(stepStart(sinceMs), stepStart(filling.atMs)); atMs < untilMs; atMs += STEP_MS) {
      const kpaGauge = this.#inputs.step(atMs, this.#altitudeKpa(filling), false).headspaceKpaGauge;
      if (kpaGauge !== null) found.push({ atMs, kpaGauge });
    }
    return found;
  }

  /** Takes a reading in that only what follows looks back to: from before where a base was taken up. */
  lookBackOn(reading: TrackReading): void {
    if (this.#base !== null && reading.measuredAtMs < this.#base.atMs) this.#inputs.add(reading);
  }

  /** Takes a reading in; false if it is a double or too old. */
  accept(reading: TrackReading): boolean {
    if (this.#base !== null && reading.measuredAtMs < this.#base.atMs) return false;
    if (!this.#inputs.add(reading)) return false;
    this.#dirty(reading.measuredAtMs);
    return true;
  }

  /** Takes an entry in, or its correction; false if it lies too far back to change anything. */
  enter(event: KegEvent): boolean {
    return this.#changeEvents(event.eventId, event);
  }

  withdraw(eventId: string): boolean {
    return this.#changeEvents(eventId, null);
  }

  /** Computes all steps that end by `nowMs`. */
  advanceTo(nowMs: number): void {
    this.#redo();
    const untilMs = stepStart(nowMs);
    const firstMs = this.#firstMs();
    this.#doneToMs ??= firstMs === null ? null : Math.min(stepStart(firstMs), untilMs);
    if (this.#doneToMs === null) return;
    while (this.#doneToMs < untilMs) this.#step(this.#doneToMs);
  }

  /** What is said of the keg at the moment up to which all is computed; null while it is empty. */
  output(nowMs: number): TrackOutput | null {
    this.advanceTo(nowMs);
    const untilMs = this.#doneToMs;
    if (untilMs === null) return null;
    // An entry of this very moment belongs to the step that begins now, and is known already.
    const { filling, estimate } = this.#withEntriesOf(this.#held, untilMs, nowMs);
    if (filling === null) return null;
    const facts = kegFactsAt(this.#events, nowMs);
    return outlookOf({
      filling,
      estimate,
      facts,
      events: this.#events,
      inputs: this.#inputs,
      cooling: this.#cooling,
      altitudeKpa: this.#altitudeKpa(filling),
      co2Ratio: this.#setup.co2Ratio,
      untilMs,
      nowMs,
    });
  }

  /** Before the first entry there is nothing to estimate, so time begins there, or where it was said to. */
  #firstMs(): number | null {
    const firstMs = this.#events[0]?.atMs;
    return firstMs === undefined ? null : Math.max(firstMs, this.#setup.fromMs ?? firstMs);
  }

  #step(startMs: number): void {
    const endMs = startMs + STEP_MS;
    const held = this.#withEntriesOf(this.#held, startMs, endMs - 1);
    const { filling, estimate } = held;
    const { co2Ratio } = this.#setup;
    if (filling !== null && estimate !== null && co2Ratio !== null) {
      const inputs = this.#inputs.step(startMs, this.#altitudeKpa(filling), filling.body.probe === 'air');
      const begun = filling.atMs >= startMs;
      const events = [
        ...(begun ? carriedInto(filling, this.#events) : []),
        ...this.#stepEvents(startMs, begun ? filling.atMs : startMs),
      ];
      estimate.advance({ fromMs: startMs, toMs: endMs, ...inputs, co2Ratio, events });
    }
    this.#held = this.#withCooling(held, startMs);
    this.#doneToMs = endMs;
    if (filling !== null && estimate !== null && endMs % TOLD_EVERY_MS === 0) {
      this.#tell(filling.eventId, estimate.estimate());
    }
    this.#mark(endMs);
  }

  /** What a course of cooling taught is kept when it ends: its readings are not remembered for ever. */
  #withCooling(held: Held, startMs: number): Held {
    const { filling } = held;
    if (filling === null) return held;
    let { cooling } = held;
    for (const course of coursesOf(filling, this.#events)) {
      if (course.untilMs === startMs) cooling = this.#cooling.taughtBy(course, filling, this.#events) ?? cooling;
    }
    return { ...held, cooling };
  }

  /** By the course that is on, else by the last one that taught something, else by earlier batches. */
  #taughtCooling(): Belief | null {
    const { filling, cooling } = this.#held;
    const untilMs = this.#doneToMs;
    if (filling === null || untilMs === null) return null;
    const course = coursesOf(filling, this.#events).find((one) => one.fromMs < untilMs && one.untilMs >= untilMs);
    const now = course === undefined ? null : this.#cooling.taughtBy({ ...course, untilMs }, filling, this.#events);
    return now ?? cooling ?? this.#cooling.handedOn();
  }

  /** Begins and ends batches by the entries of a step up to a moment. */
  #withEntriesOf(held: Held, startMs: number, untilMs: number): Held {
    let result = held;
    for (const event of this.#eventsByStep.get(startMs) ?? []) {
      if (event.atMs > untilMs) break;
      if (event.body.kind === 'keg-emptied') result = NOTHING;
      if (isFilling(event)) result = this.#begin(event, result.filling !== null);
    }
    return result;
  }

  #begin(filling: FillingEvent, toppedUp: boolean): Held {
    if (this.#setup.co2Ratio === null) return { filling, estimate: null, cooling: null };
    const startMs = stepStart(filling.atMs);
    // The step that holds the filling has not been heard yet, so the air pressure is that of the step before.
    const before = this.#inputs.step(startMs - STEP_MS, this.#altitudeKpa(filling), false);
    const ambient = { kpaAbsolute: before.ambientKpaAbsolute, fromBarometer: before.ambientFromBarometer };
    const { seed, learnt } = this.#setup;
    const options = learnt === undefined ? { seed } : { seed, learning: learnt };
    const estimate = this.#model.begin(fillingOf(filling, toppedUp), ambient, options);
    return { filling, estimate, cooling: null };
  }

  #stepEvents(startMs: number, fromMs: number): StepEvent[] {
    return (this.#eventsByStep.get(startMs) ?? [])
      .filter(({ atMs }) => atMs >= fromMs)
      .flatMap((event) => stepEventOf(event) ?? []);
  }

  #altitudeKpa(filling: FillingEvent): number {
    return airPressureAtAltitude(metres(filling.body.altitudeMetres ?? this.#setup.altitudeM));
  }

  #mark(atMs: number): void {
    if (atMs % ((this.#setup.markSteps ?? MARK_STEPS) * STEP_MS) !== 0) return;
    const mark = { atMs, held: copied(this.#held) };
    this.#marks = withMark(this.#marks, mark);
    this.#nextBase ??= mark;
    if (atMs - this.#nextBase.atMs < this.#setup.keepMs) return;
    const base = this.#nextBase;
    this.#base = base;
    this.#nextBase = mark;
    this.#marks = [base, ...this.#marks.filter((one) => one.atMs > base.atMs)];
    this.#inputs.forgetBefore(base.atMs - LOOK_BACK_MS);
  }

  #dirty(atMs: number): void {
    this.#cooling.changed(stepStart(atMs));
    if (this.#doneToMs !== null && atMs < this.#doneToMs) {
      this.#dirtyFromMs = Math.min(this.#dirtyFromMs, stepStart(atMs));
    }
  }

  /** Goes back to before what changed and computes again up to where it was. */
  #redo(): void {
    const untilMs = this.#doneToMs;
    if (untilMs === null || this.#dirtyFromMs >= untilMs) return;
    const mark = this.#marks.findLast(({ atMs }) => atMs <= this.#dirtyFromMs) ?? null;
    this.#marks = mark === null ? [] : this.#marks.filter(({ atMs }) => atMs <= mark.atMs);
    this.#held = mark === null ? NOTHING : copied(mark.held);
    this.#doneToMs = mark?.atMs ?? Math.min(stepStart(this.#firstMs() ?? untilMs), untilMs);
    this.#dirtyFromMs = Number.POSITIVE_INFINITY;
    if (this.#nextBase !== null && this.#nextBase.atMs > this.#doneToMs) this.#nextBase = null;
    while (this.#doneToMs < untilMs) this.#step(this.#doneToMs);
  }

  #changeEvents(eventId: string, event: KegEvent | null): boolean {
    const known = this.#events.find((other) => other.eventId === eventId);
    const touched = [known, event].flatMap((one) => (one === undefined || one === null ? [] : [one.atMs]));
    if (touched.length === 0) return false;
    if (this.#base !== null && Math.min(...touched) < this.#base.atMs) return false;
    const others = this.#events.filter((other) => other !== known);
    this.#setEvents(event === null ? others : [...others, event]);
    for (const atMs of touched) {
      this.#dirty(atMs);
      // What was done before a filling counts in it.
      for (const { atMs: filledMs } of this.#events.filter(isFilling)) if (filledMs > atMs) this.#dirty(filledMs);
    }
    return true;
  }

  #setEvents(events: readonly KegEvent[]): void {
    this.#events = inOrder(events);
    this.#eventsByStep = Map.groupBy(this.#events, ({ atMs }) => stepStart(atMs));
  }
}

/** Is a value out of a store what a track put aside? What the estimate put aside, it checks itself. */
export function isSavedHeld(value: unknown): value is SavedHeld {
  return typeof value === 'object' && value !== null && 'filling' in value && 'snapshot' in value && 'cooling' in value;
}

/** A mark's estimate must not go on, nor one that goes on change a mark. */
function copied({ filling, estimate, cooling }: Held): Held {
  return { filling, estimate: estimate?.copy() ?? null, cooling };
}

function saved({ filling, estimate, cooling }: Held): SavedHeld {
  return { filling, snapshot: estimate?.snapshot() ?? null, cooling };
}

function restored({ filling, snapshot, cooling }: SavedHeld, model: EstimateModel): Held {
  return { filling, estimate: snapshot === null ? null : model.resume(snapshot), cooling };
}
