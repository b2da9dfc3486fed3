import { isDeepStrictEqual } from 'node:util';
import type { ProbeReading } from '../../src/app/decode.ts';
import { estimateModel } from '../../src/app/estimate-model.ts';
import type { EstimatePoint, KegEstimates } from '../../src/app/keg-estimates.ts';
import type { Register } from '../../src/app/register.ts';
import { STEP_MS, stepStart } from '../../src/domain/clean/step.ts';
import { Estimator } from '../../src/domain/estimate/estimator.ts';
import type { KegEvent } from '../../src/domain/event.ts';
import { KegTrack } from '../../src/domain/keg-track.ts';
import { type TrackReading, trackReading } from '../../src/domain/keg-track-inputs.ts';
import type { EstimateModel, RunningEstimate, TrackOutput } from '../../src/domain/keg-track-types.ts';

const POINT_MS = 15 * 60_000;

interface Tracked {
  readonly track: KegTrack;
  readonly points: (EstimatePoint & { readonly batchId: string })[];
  readonly readings: TrackReading[];
  readonly entered: Map<string, KegEvent>;
  /** Where it was worked out to. */
  doneToMs: number;
  estimate: RunningEstimate | null;
  output: TrackOutput | null;
}

/** Estimates of the kegs of a world that run when a test says so, with the real model and fewer particles. */
export class TrackedKegs implements KegEstimates {
  readonly #register: Register;
  readonly #particles: number;
  readonly #kegs = new Map<string, Tracked>();

  constructor(register: Register, particles = 300) {
    this.#register = register;
    this.#particles = particles;
  }

  accept(readings: readonly ProbeReading[]): void {
    for (const { probe, reading } of readings) {
      const heard = trackReading(probe, reading);
      if (heard === null || probe.subject.kind !== 'keg') continue;
      const tracked = this.#tracked(probe.subject.id);
      tracked.readings.push(heard);
      tracked.track.accept(heard);
    }
  }

  /** Takes the entries in and works out all that is known until a moment. */
  advanceTo(nowMs: number): void {
    for (const keg of this.#register.kegs()) {
      const events = this.#register.eventsOf(keg);
      const tracked = this.#withEntries(keg.kegId, events);
      const fromMs = tracked.points.at(-1)?.atMs ?? (events[0]?.atMs ?? nowMs) - POINT_MS;
      for (let atMs = Math.floor(fromMs / POINT_MS + 1) * POINT_MS; atMs <= nowMs; atMs += POINT_MS) {
        const output = tracked.track.output(atMs);
        if (output === null || output.dissolved === null) continue;
        const { volumes, low, high, leak } = output.dissolved;
        const { batchId, equilibriumVolumes } = output;
        tracked.points.push({ batchId, atMs, equilibriumVolumes, volumes, low, high, leak });
      }
      tracked.output = tracked.track.output(stepStart(nowMs));
      tracked.doneToMs = stepStart(nowMs);
    }
  }

  /** The keg with all its entries. What changes the past has it all worked out anew. */
  #withEntries(kegId: string, events: readonly KegEvent[]): Tracked {
    let tracked = this.#tracked(kegId);
    const { entered, doneToMs, readings } = tracked;
    const same = (event: KegEvent) => isDeepStrictEqual(entered.get(event.eventId), event);
    const fresh = events.filter((event) => !same(event));
    const rewritten = fresh.some(({ atMs, eventId }) => atMs < doneToMs || entered.has(eventId));
    if (rewritten || entered.size + fresh.length !== events.length) {
      this.#kegs.delete(kegId);
      tracked = this.#tracked(kegId);
      for (const reading of readings) tracked.track.accept(reading);
      tracked.readings.push(...readings);
    }
    for (const event of rewritten || tracked.entered.size === 0 ? events : fresh) {
      tracked.track.enter(event);
      tracked.entered.set(event.eventId, event);
    }
    return tracked;
  }

  output(kegId: string): TrackOutput | null {
    return this.#kegs.get(kegId)?.output ?? null;
  }

  readonly pending = 0;

  learnt() {
    return null;
  }

  isPending(): boolean {
    return false;
  }

  notices() {
    return [];
  }

  fork(kegId: string): RunningEstimate | null {
    const tracked = this.#kegs.get(kegId);
    return tracked === undefined || tracked.output?.dissolved === null ? null : (tracked.estimate?.copy() ?? null);
  }

  history(batchId: string, fromMs: number, toMs: number): Promise<readonly EstimatePoint[]> {
    const points = [...this.#kegs.values()].flatMap((tracked) => tracked.points);
    return Promise.resolve(
      points.filter((point) => point.batchId === batchId && point.atMs >= fromMs && point.atMs < toMs),
    );
  }

  #tracked(kegId: string): Tracked {
    const known = this.#kegs.get(kegId);
    if (known !== undefined) return known;
    const setup = { altitudeM: 0, co2Ratio: 1, seed: 1, keepMs: 90 * 288 * STEP_MS };
    // The track goes on with the estimate it began, as long as nothing comes late.
    const watched: EstimateModel = {
      ...estimateModel,
      begin: (filling, ambient, { seed }) => {
        tracked.estimate = Estimator.begin(filling, ambient, { seed, particles: this.#particles });
        return tracked.estimate;
      },
    };
    const tracked: Tracked = {
      track: new KegTrack(setup, watched),
      points: [],
      readings: [],
      entered: new Map(),
      doneToMs: Number.NEGATIVE_INFINITY,
      estimate: null,
      output: null,
    };
    this.#kegs.set(kegId, tracked);
    return tracked;
  }
}
