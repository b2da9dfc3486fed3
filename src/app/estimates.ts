import type { Batch, Keg } from '../domain/catalogue.ts';
import { stepStart } from '../domain/clean/step.ts';
import type { KegLearning } from '../domain/estimate/learning.ts';
import type { HoursAhead } from '../domain/estimate/types.ts';
import type { EstimatePoint } from '../domain/estimate-point.ts';
import { kegFactsAt } from '../domain/keg-facts.ts';
import type { KegTrack } from '../domain/keg-track.ts';
import { type TrackReading, trackReading } from '../domain/keg-track-inputs.ts';
import type { EstimateModel, RunningEstimate, TrackOutput } from '../domain/keg-track-types.ts';
import type { Notice } from '../domain/notices/notice.ts';
import { noticesOf } from '../domain/notices/notices.ts';
import { subjectPath } from '../domain/topic.ts';
import type { Clock } from '../ports/clock.ts';
import type { BaseShelf } from '../ports/estimate-store.ts';
import type { Log } from '../ports/log.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { ProbeReading } from './decode.ts';
import type { EstimateArchive } from './estimate-archive.ts';
import { type BasisSources, changedEntries, type EstimateBasis, estimateBasis, kegMark } from './estimate-basis.ts';
import { rebuildTrack } from './estimate-rebuild.ts';
import type { KegEstimates } from './keg-estimates.ts';
import { KeptBases } from './kept-bases.ts';
import type { LiveProbes } from './live-probes.ts';
import type { Register } from './register.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** A step is computed this long after its end (ms): messages take a moment. */
const GRACE_MS = 10_000;
/** Pressures are looked through this far back for what nobody entered (ms). */
const NOTICED_MS = 24 * HOUR_MS;
/** Longest way that is gone at once (ms). */
const LEAP_MS = 24 * HOUR_MS;
/** What is older is no word on now (ms). */
const OUTPUT_MS_MAX = HOUR_MS;
/** Kegs are computed for this long at a time (ms); then others have their turn. */
const TURN_MS = 20;
/** Old readings come in crowds; so long after the last of them (ms), and at the latest after a minute, they are taken in. */
const CROWD_MS = 2000;
const CROWD_MS_MAX = MINUTE_MS;
/**
 * A probe whose clock is far behind must not keep us computing: each time old readings are taken in, the next time is
 * twice as far off, up to this (ms), until none came for an hour.
 */
const OLD_EVERY_MS_MAX = 10 * MINUTE_MS;
const OLD_FORGOTTEN_MS = HOUR_MS;
const RETRY_MS = 5000;
const KEEP_EVERY_MS = MINUTE_MS;
const BASE_EVERY_MS = 24 * HOUR_MS;
/** Readings that may wait while a batch is computed; beyond, it begins again with them in the store. */
const WAITING_MAX = 50_000;

export interface EstimatesOptions {
  readonly clock: Clock;
  readonly log: Log;
  readonly register: Register;
  readonly probes: LiveProbes;
  readonly store: ReadingStore;
  readonly archive: EstimateArchive;
  readonly shelf: BaseShelf;
  readonly model: EstimateModel;
  /** Resolves once every reading that was accepted so far is in the store; false if that will not be. */
  readonly stored: () => Promise<boolean>;
  readonly breathe: () => Promise<void>;
  /** Called when something new is said of a keg. */
  readonly onOutput: (kegId: string) => void;
}

/** The estimate of one batch. */
interface Followed {
  basis: EstimateBasis;
  /** Null until it is computed for the first time. */
  track: KegTrack | null;
  output: TrackOutput | null;
  notices: readonly Notice[];
  /** Readings that came while it is computed from the store; null: they go straight in. */
  waiting: TrackReading[] | null;
  /** To be computed from the store at this time (ms); null: not wanted. */
  rebuildAtMs: number | null;
  /** First of the old readings that wait to be taken in (ms); null: none waits. */
  oldSinceMs: number | null;
  /** When old readings were last taken in, and how long after it they may be again (ms). */
  oldTakenAtMs: number;
  oldEveryMs: number;
  /** Old readings came while it was computed: what comes of it is not good enough. */
  vain: boolean;
  baseKeptAtMs: number;
}

/** What readings of a subject bear on. */
interface KegLine {
  readonly kegId: string;
  readonly open: Followed | null;
  readonly closed: readonly Batch[];
  /** End of the last closed batch (ms); minus infinity without any. */
  readonly closedUntilMs: number;
}

/**
 * Runs the estimate of every batch: on with the readings, back with late ones and changed entries, and after a restart
 * on from what was put aside. What it says of a moment is what a replay of the same readings and entries says.
 */
export class Estimates implements KegEstimates {
  readonly #options: EstimatesOptions;
  /** By batch: those in kegs now, and past ones while they are computed again. */
  readonly #followed = new Map<string, Followed>();
  #linesBySubject: ReadonlyMap<string, readonly KegLine[]> = new Map();
  readonly #bases: KeptBases;
  readonly #sources: BasisSources;
  /** Of each keg: how many entries it has, and the last of them; another text means changed entries. */
  readonly #entryMarks = new Map<string, string>();
  #computing: Promise<void> | null = null;
  #turnIsDue = false;
  #keptAtMs = Number.NEGATIVE_INFINITY;
  #phase: 'waiting' | 'running' | 'stopped' = 'waiting';

  constructor(options: EstimatesOptions) {
    this.#options = options;
    this.#bases = new KeptBases(options.shelf);
    this.#sources = { register: options.register, probes: options.probes, bases: this.#bases };
    options.register.onChange(() => this.#follow());
  }

  /** Begins to compute. Readings may come before. */
  start(): void {
    this.#phase = 'running';
    this.#follow();
    this.#computeNext();
  }

  /** Puts everything aside. */
  async stop(): Promise<void> {
    this.#phase = 'stopped';
    await this.#computing;
    await this.#options.archive.save();
    for (const one of this.#followed.values()) this.#keepBase(one);
  }

  output(kegId: string): TrackOutput | null {
    const output = this.#ofKeg(kegId)?.output ?? null;
    return output !== null && this.#options.clock.nowMs() - output.atMs <= OUTPUT_MS_MAX ? output : null;
  }

  /** What a keg's past batches taught of it, and the batch that did; null: nothing yet. */
  learnt(keg: Keg): { readonly batch: Batch; readonly learning: KegLearning } | null {
    const { register, clock } = this.#options;
    const batches = register.batches().filter(({ kegId }) => kegId === keg.kegId);
    return this.#bases.learnt(keg, batches, clock.nowMs());
  }

  notices(kegId: string): readonly Notice[] {
    return this.output(kegId) === null ? [] : (this.#ofKeg(kegId)?.notices ?? []);
  }

  fork(kegId: string): RunningEstimate | null {
    return this.#ofKeg(kegId)?.track?.fork() ?? null;
  }

  coolingConstant(kegId: string): HoursAhead | null {
    return this.#ofKeg(kegId)?.track?.coolingConstant() ?? null;
  }

  async history(batchId: string, fromMs: number, toMs: number): Promise<readonly EstimatePoint[]> {
    const batch = this.#options.register.batch(batchId);
    if (batch === null) return [];
    // What was computed before the batch's ends were corrected is no longer its own.
    const untilMs = Math.min(toMs, batch.endedAtMs ?? toMs);
    return this.#options.archive.range(batchId, Math.max(fromMs, batch.beganAtMs), untilMs);
  }

  /** Batches that are computed from the store, or wait for it. */
  get pending(): number {
    return [...this.#followed.values()].filter(({ rebuildAtMs, waiting }) => rebuildAtMs !== null || waiting !== null)
      .length;
  }

  isPending(kegId: string): boolean {
    const one = this.#ofKeg(kegId);
    return this.#phase === 'running' && one !== null && one.output === null;
  }

  /** Follows new readings. */
  accept(readings: readonly ProbeReading[]): void {
    for (const { probe, reading } of readings) {
      const lines = this.#linesBySubject.get(subjectPath(probe.subject));
      const tracked = lines === undefined ? null : trackReading(probe, reading);
      if (lines === undefined || tracked === null) continue;
      for (const line of lines) {
        if (tracked.measuredAtMs <= line.closedUntilMs) this.#wantPast(line, tracked.measuredAtMs);
        if (line.open !== null) this.#take(line.open, tracked);
      }
    }
  }

  /** Once a second: steps that ended, batches to compute, estimates to keep. */
  tick(): void {
    if (this.#phase !== 'running') return;
    this.#turn();
    this.#computeNext();
    const nowMs = this.#options.clock.nowMs();
    if (nowMs - this.#keptAtMs < KEEP_EVERY_MS) return;
    this.#keptAtMs = nowMs;
    void this.#options.archive.save();
    for (const one of this.#followed.values()) if (nowMs - one.baseKeptAtMs >= BASE_EVERY_MS) this.#keepBase(one);
  }

  #ofKeg(kegId: string): Followed | null {
    return this.#linesBySubject.get(subjectPath({ kind: 'keg', id: kegId }))?.[0]?.open ?? null;
  }

  #take(one: Followed, reading: TrackReading): void {
    const keptAtMs = this.#bases.atMs(one.basis.batch.batchId);
    // On the disk first: the reading is about to be answered for, and a restart must not go on without it.
    if (keptAtMs !== null && reading.measuredAtMs < keptAtMs) this.#bases.drop(one.basis.batch.batchId);
    if (one.waiting !== null) {
      one.waiting.push(reading);
      if (one.waiting.length > WAITING_MAX) one.vain = true;
      return;
    }
    const remembered = one.track?.rememberedFromMs ?? null;
    if (remembered !== null && reading.measuredAtMs < remembered) this.#wantOld(one);
    else one.track?.accept(reading);
  }

  /** An old reading came: everything from it on is to be computed again, but not for each of a crowd. */
  #wantOld(one: Followed): void {
    const nowMs = this.#options.clock.nowMs();
    one.oldSinceMs ??= nowMs;
    const dueMs = Math.min(nowMs + CROWD_MS, one.oldSinceMs + CROWD_MS_MAX);
    one.rebuildAtMs = Math.max(dueMs, one.oldTakenAtMs + one.oldEveryMs);
  }

  #wantPast(line: KegLine, atMs: number): void {
    const batch = line.closed.find(({ beganAtMs, endedAtMs }) => beganAtMs <= atMs && atMs <= (endedAtMs ?? atMs));
    if (batch === undefined) return;
    this.#bases.drop(batch.batchId);
    const keg = this.#options.register.keg(line.kegId);
    if (keg !== null) this.#wantOld(this.#begin(keg, batch));
  }

  /** Sees what is in the kegs, and what was changed about it. */
  #follow(): void {
    if (this.#phase === 'stopped') return;
    const { register } = this.#options;
    const batchesOf = Map.groupBy(register.batches(), ({ kegId }) => kegId);
    const bySubject = new Map<string, KegLine[]>();
    const open = new Set<string>();
    for (const keg of register.kegs()) {
      const batches = batchesOf.get(keg.kegId) ?? [];
      const current = batches.find(({ endedAtMs }) => endedAtMs === null);
      const closed = batches.filter(({ endedAtMs }) => endedAtMs !== null);
      if (this.#phase === 'running') this.#checkPast(keg, closed);
      const one = current === undefined ? null : this.#update(keg, current);
      if (current !== undefined) open.add(current.batchId);
      const closedUntilMs = Math.max(...closed.map(({ endedAtMs }) => endedAtMs ?? 0), Number.NEGATIVE_INFINITY);
      const line = { kegId: keg.kegId, open: one, closed, closedUntilMs };
      for (const key of [
        subjectPath({ kind: 'keg', id: keg.kegId }),
        subjectPath({ kind: 'place', id: keg.placeId }),
        subjectPath({ kind: 'site' }),
      ]) {
        const known = bySubject.get(key);
        if (known === undefined) bySubject.set(key, [line]);
        else known.push(line);
      }
    }
    for (const [batchId, one] of this.#followed) {
      if (one.basis.batch.endedAtMs === null && !open.has(batchId)) this.#release(batchId, one);
    }
    this.#linesBySubject = bySubject;
  }

  /** Past batches that were computed from other entries, calibrations or settings than now. */
  #checkPast(keg: Keg, closed: readonly Batch[]): void {
    const mark = kegMark(this.#sources, keg);
    if (this.#entryMarks.get(keg.kegId) === mark) return;
    this.#entryMarks.set(keg.kegId, mark);
    for (const batch of closed) {
      const basis = estimateBasis(this.#sources, keg, batch);
      if (this.#bases.isPastKept(basis)) continue;
      const one = this.#begin(keg, batch);
      one.basis = basis;
      one.rebuildAtMs = this.#options.clock.nowMs();
      one.vain = true;
    }
  }

  #begin(keg: Keg, batch: Batch): Followed {
    const { clock } = this.#options;
    const known = this.#followed.get(batch.batchId);
    if (known !== undefined && known.basis.batch.endedAtMs === batch.endedAtMs) return known;
    if (known !== undefined) known.vain = true;
    const one: Followed = {
      basis: estimateBasis(this.#sources, keg, batch),
      track: null,
      output: null,
      notices: [],
      waiting: null,
      rebuildAtMs: clock.nowMs(),
      oldSinceMs: null,
      oldTakenAtMs: Number.NEGATIVE_INFINITY,
      oldEveryMs: CROWD_MS,
      vain: false,
      baseKeptAtMs: clock.nowMs(),
    };
    this.#followed.set(batch.batchId, one);
    return one;
  }

  /** Brings a batch's estimate to what is entered now. */
  #update(keg: Keg, batch: Batch): Followed {
    const { clock } = this.#options;
    const one = this.#begin(keg, batch);
    const before = one.basis;
    one.basis = estimateBasis(this.#sources, keg, batch);
    const changes = before.key === one.basis.key ? changedEntries(before.events, one.basis.events) : null;
    if (changes !== null && changes.length === 0) return one;
    const remembered = one.track?.rememberedFromMs ?? Number.NEGATIVE_INFINITY;
    const isNear = changes?.every(({ fromMs }) => fromMs >= remembered) ?? false;
    if (one.track === null || one.waiting !== null || changes === null || !isNear) {
      one.rebuildAtMs = clock.nowMs();
      one.vain = true;
      return one;
    }
    for (const { eventId, event } of changes) {
      if (event === null) one.track.withdraw(eventId);
      else one.track.enter(event);
    }
    this.#say(one);
    return one;
  }

  #release(batchId: string, one: Followed): void {
    one.vain = true;
    this.#followed.delete(batchId);
    if (this.#options.register.batch(batchId) === null) this.#bases.drop(batchId);
  }

  /** Brings kegs to the present, some at a time. */
  #turn(): void {
    if (this.#turnIsDue || this.#phase === 'stopped') return;
    const { clock } = this.#options;
    const startedMs = clock.monotonicMs();
    for (const one of this.#followed.values()) {
      if (one.track === null || one.waiting !== null) continue;
      const stepMs = one.track.doneToMs;
      // A reading of a step that is computed already takes it back.
      if (one.output !== null && stepMs !== null && stepMs >= stepStart(this.#momentMs())) continue;
      this.#say(one);
      if (clock.monotonicMs() - startedMs < TURN_MS) continue;
      this.#turnIsDue = true;
      clock.after(0, () => {
        this.#turnIsDue = false;
        this.#turn();
      });
      return;
    }
  }

  /** Up to when estimates are computed: now, but not into a step that has hardly ended. */
  #momentMs(): number {
    const nowMs = this.#options.clock.nowMs();
    const heldMs = stepStart(nowMs) - 1;
    return nowMs - heldMs <= GRACE_MS ? heldMs : nowMs;
  }

  #say(one: Followed): void {
    const { clock, log, onOutput } = this.#options;
    const { kegId, batch } = one.basis;
    if (one.track === null) return;
    try {
      const momentMs = this.#momentMs();
      // After a long sleep of the machine, or a leap of its clock, the way is too long to be gone at once.
      if (momentMs - (one.track.doneToMs ?? momentMs) > LEAP_MS) {
        one.rebuildAtMs ??= clock.nowMs();
        return;
      }
      one.output = one.track.output(momentMs);
      one.notices = this.#noticesOf(one, one.track, momentMs);
    } catch (error) {
      log.error(`the estimate of ${batch.name} in ${kegId} failed and begins again: ${(error as Error).stack}`);
      this.#bases.drop(batch.batchId);
      one.track = null;
      one.output = null;
      one.rebuildAtMs = clock.nowMs() + OLD_EVERY_MS_MAX;
    }
    if (batch.endedAtMs === null) onOutput(kegId);
  }

  #noticesOf({ basis, output }: Followed, track: KegTrack, nowMs: number): readonly Notice[] {
    if (output === null) return [];
    const { events } = basis;
    return noticesOf({
      nowMs,
      dissolved: output.dissolved,
      facts: kegFactsAt(events, nowMs),
      events,
      steps: track.pressures(nowMs - NOTICED_MS),
      units: this.#options.register.site().units,
    });
  }

  #computeNext(): void {
    if (this.#computing !== null || this.#phase !== 'running') return;
    const nowMs = this.#options.clock.nowMs();
    const due = [...this.#followed.values()]
      .filter(({ rebuildAtMs }) => rebuildAtMs !== null && rebuildAtMs <= nowMs)
      // What is in a keg now is looked at first.
      .toSorted((a, b) => Number(a.basis.batch.endedAtMs !== null) - Number(b.basis.batch.endedAtMs !== null))[0];
    if (due === undefined) return;
    this.#computing = this.#compute(due).finally(() => {
      this.#computing = null;
      this.#computeNext();
    });
  }

  async #compute(one: Followed): Promise<void> {
    const { clock, log } = this.#options;
    one.rebuildAtMs = null;
    one.vain = false;
    one.waiting = [];
    if (one.oldSinceMs !== null) {
      const isRare = clock.nowMs() - one.oldTakenAtMs > OLD_FORGOTTEN_MS;
      one.oldEveryMs = isRare ? CROWD_MS : Math.min(OLD_EVERY_MS_MAX, 2 * one.oldEveryMs);
      one.oldTakenAtMs = clock.nowMs();
    }
    one.oldSinceMs = null;
    try {
      const track = await this.#rebuilt(one);
      const waiting: readonly TrackReading[] = one.waiting;
      one.waiting = null;
      if (track === null) {
        one.rebuildAtMs ??= clock.nowMs();
      } else if (one.basis.batch.endedAtMs !== null) {
        await this.#keepPast(one, track);
      } else {
        one.track = track;
        for (const reading of waiting) this.#take(one, reading);
        this.#say(one);
        await this.#options.archive.save();
        this.#keepBase(one);
      }
    } catch (error) {
      one.waiting = null;
      one.rebuildAtMs ??= clock.nowMs() + RETRY_MS;
      this.#bases.drop(one.basis.batch.batchId);
      log.warn(`${one.basis.batch.name} cannot be estimated now: ${(error as Error).message}. It is tried again.`);
    }
  }

  /** Null if it became vain. */
  async #rebuilt(one: Followed): Promise<KegTrack | null> {
    const { register, store, stored, model, breathe, archive, clock } = this.#options;
    const isVain = () => one.vain || this.#phase === 'stopped';
    const keg = register.keg(one.basis.kegId);
    if (!(await stored()) || isVain() || keg === null) return null;
    // Probes may have been heard for the first time since.
    one.basis = estimateBasis(this.#sources, keg, one.basis.batch);
    const { basis } = one;
    return rebuildTrack({
      basis,
      base: basis.batch.endedAtMs === null ? this.#bases.base(basis, clock.nowMs()) : null,
      untilMs: basis.batch.endedAtMs ?? clock.nowMs(),
      store,
      model,
      tell: (_, { atMs, equilibriumVolumes, volumes, low, high, leak }) => {
        archive.add(basis.batch.batchId, { atMs, equilibriumVolumes, volumes, low, high, leak });
      },
      breathe,
      isVain,
    });
  }

  #keepBase(one: Followed): void {
    const base = one.track?.base() ?? null;
    if (base === null || one.waiting !== null || one.oldSinceMs !== null || one.basis.batch.endedAtMs !== null) return;
    // What was estimated before the base is not computed again.
    if (!this.#options.archive.isKept) return;
    this.#bases.keep(one.basis, base);
    one.baseKeptAtMs = this.#options.clock.nowMs();
  }

  /** Remembers that a past batch is computed, once its estimates are kept. */
  async #keepPast(one: Followed, track: KegTrack): Promise<void> {
    const { archive, clock } = this.#options;
    const { batchId } = one.basis.batch;
    await archive.save();
    if (!archive.isKept) one.rebuildAtMs ??= clock.nowMs() + RETRY_MS;
    if (one.rebuildAtMs !== null || one.oldSinceMs !== null) return;
    this.#bases.keepPast(one.basis, track.learning());
    if (this.#followed.get(batchId) === one) this.#followed.delete(batchId);
    // What it taught may bear on the batches after it.
    this.#follow();
  }
}
