import type { Reading } from '../domain/reading.ts';
import type { Clock, StopTimer } from '../ports/clock.ts';
import type { Log } from '../ports/log.ts';
import type { AppendOutcome, ReadingStore, RefusedReading } from '../ports/reading-store.ts';
import type { Spool, SpoolGroup, SpoolPosition, SpoolRecord } from '../ports/spool.ts';

const BATCH_READINGS_MAX = 2_000;
const BATCH_RECORDS_MAX = 1_000;
/** Readings held in memory for the store; beyond, they are read from the spool again when their turn comes. */
const WAITING_READINGS_MAX = 20_000;
const RETRY_MS_MIN = 500;
const RETRY_MS_MAX = 30_000;
/** By up to this share a pause is shorter. */
const JITTER_RATIO = 0.3;

interface Batch {
  readonly readings: readonly Reading[];
  readonly end: SpoolPosition;
}

export interface WriterCounts {
  readonly stored: number;
  readonly duplicates: number;
  readonly refused: number;
}

export interface WriterOptions {
  readonly spool: Spool;
  readonly store: ReadingStore;
  readonly clock: Clock;
  readonly log: Log;
  /** Readings of a spooled message, as when it came. */
  readonly decode: (record: SpoolRecord) => readonly Reading[];
  /** Hears of readings that the store will never take. */
  readonly refuse?: (refused: readonly RefusedReading[]) => void;
  /** A number from 0 to 1 that is another each time, so that many services do not come back at the same moment. */
  readonly random?: () => number;
}

/** Moves readings from the spool into the store, in order, for as long as it takes. Memory stays bounded. */
export class Writer {
  readonly #options: WriterOptions;
  #queue: Batch[] = [];
  #queuedReadings = 0;
  /** Readings that were announced and are not in the queue: they are in the spool. */
  #spooledReadings = 0;
  /** Readings of the batch that is being stored. */
  #inHand = 0;
  /** Readings that the spool gave beyond those announced (negative: fewer), because a mapping changed meanwhile. */
  #unannounced = 0;
  /** While true, the spool holds messages whose times cannot be told yet. */
  #held = false;
  /** True while the queue has gaps or was not filled yet: the spool itself is read from the checkpoint on. */
  #behind = true;
  #running: Promise<void> | null = null;
  #stopping = false;
  #retry: { stop: StopTimer; wake: () => void } | null = null;
  #retryMs = RETRY_MS_MIN;
  #trouble: string | null = null;
  #counts = { stored: 0, duplicates: 0, refused: 0 };
  #waiters: { readonly until: SpoolPosition; readonly resolve: (stored: boolean) => void }[] = [];

  constructor(options: WriterOptions) {
    this.#options = options;
  }

  start(): void {
    this.#run();
  }

  /** Announces readings that the spool holds and that do not come by `enqueue`. */
  announce(readings: number): void {
    this.#spooledReadings += readings;
  }

  /** Stops before what was committed since the last `enqueue`, until `release`. */
  hold(): void {
    this.#held = true;
    this.#behind = true;
  }

  release(): void {
    this.#held = false;
    this.#run();
  }

  /** Takes the readings of a committed group. */
  enqueue(group: SpoolGroup, readings: readonly Reading[]): void {
    if (this.#queuedReadings + readings.length > WAITING_READINGS_MAX) this.#behind = true;
    if (this.#behind) {
      this.#spooledReadings += readings.length;
    } else {
      this.#queue.push({ readings, end: group.end });
      this.#queuedReadings += readings.length;
    }
    this.#run();
  }

  counts(): WriterCounts {
    return { ...this.#counts };
  }

  /** Readings that were announced or taken and are not stored yet. */
  waiting(): number {
    return this.#queuedReadings + this.#spooledReadings + this.#inHand;
  }

  /** By how many the readings that came out of the spool differ from those announced, so far. */
  unannounced(): number {
    return this.#unannounced;
  }

  trouble(): string | null {
    return this.#trouble;
  }

  /** Resolves once all that was committed so far is in the store; with false if the writer is stopped before. */
  stored(): Promise<boolean> {
    const until = this.#options.spool.end();
    if (this.#stopping) return Promise.resolve(false);
    if (isBehind(until, this.#options.spool.checkpoint())) return Promise.resolve(true);
    return new Promise((resolve) => this.#waiters.push({ until, resolve }));
  }

  async stop(): Promise<void> {
    this.#stopping = true;
    this.#retry?.stop();
    this.#retry?.wake();
    await this.#running;
    for (const { resolve } of this.#waiters.splice(0)) resolve(false);
  }

  #run(): void {
    if (this.#running !== null || this.#stopping) return;
    this.#running = this.#drain().finally(() => {
      this.#running = null;
      // What came in while the last turn ended would else wait for the next message.
      if (this.#queue.length > 0 || (this.#behind && !this.#held)) this.#run();
    });
  }

  async #drain(): Promise<void> {
    while (!this.#stopping) {
      if (this.#queue.length === 0 && (!this.#behind || this.#held)) return;
      const batch = this.#queue.length > 0 ? this.#takeQueued() : await this.#readBehind();
      if (batch === null && this.#queue.length > 0) continue;
      if (batch === null || !(await this.#write(batch))) return;
    }
  }

  /** The next records of the spool itself; null if there are none, or if it was told to stop meanwhile. */
  async #readBehind(): Promise<Batch | null> {
    const { spool, decode } = this.#options;
    for (;;) {
      const group = await this.#insist('the spool cannot be read', () =>
        spool.read(spool.checkpoint(), BATCH_RECORDS_MAX),
      );
      if (group === null || this.#held) return null;
      const { records, end } = group;
      if (records.length > 0) return this.#takeSpooled(records.flatMap(decode), end);
      // Nothing was committed while the spool was read: from here on the queue is complete again.
      if (samePosition(end, spool.end()) && !this.#held) {
        this.#behind = false;
        // A changed mapping may have made fewer readings of the messages than when they came.
        this.#unannounced -= this.#spooledReadings;
        this.#spooledReadings = 0;
      }
      if (!samePosition(end, spool.checkpoint())) return { readings: [], end };
      if (!this.#behind) return null;
    }
  }

  #takeSpooled(readings: readonly Reading[], end: SpoolPosition): Batch {
    const announced = Math.min(this.#spooledReadings, readings.length);
    this.#spooledReadings -= announced;
    this.#unannounced += readings.length - announced;
    this.#inHand = readings.length;
    return { readings, end };
  }

  #takeQueued(): Batch {
    const readings: Reading[] = [];
    let end: SpoolPosition | null = null;
    while (this.#queue.length > 0 && (end === null || readings.length < BATCH_READINGS_MAX)) {
      const batch = this.#queue.shift();
      if (batch === undefined) break;
      readings.push(...batch.readings);
      end = batch.end;
      this.#queuedReadings -= batch.readings.length;
    }
    this.#inHand = readings.length;
    return { readings, end: end ?? this.#options.spool.checkpoint() };
  }

  /** Tries until the batch is stored and that is remembered; false if it was told to stop meanwhile. */
  async #write({ readings, end }: Batch): Promise<boolean> {
    const { store, spool } = this.#options;
    if (readings.length > 0) {
      const outcome = await this.#insist('the reading store does not take readings', () => store.append(readings));
      if (outcome === null) return false;
      this.#count(outcome);
    }
    const saved = await this.#insist('the spool cannot keep how far the store is', async () => {
      await spool.saveCheckpoint(end);
      return true;
    });
    this.#wake();
    return saved !== null;
  }

  #wake(): void {
    const checkpoint = this.#options.spool.checkpoint();
    const due = this.#waiters.filter(({ until }) => isBehind(until, checkpoint));
    this.#waiters = this.#waiters.filter((waiter) => !due.includes(waiter));
    for (const { resolve } of due) resolve(true);
  }

  /** Tries until it works; null if it was told to stop meanwhile. */
  async #insist<T>(what: string, attempt: () => Promise<T>): Promise<T | null> {
    const { log } = this.#options;
    for (;;) {
      try {
        const result = await attempt();
        if (this.#trouble !== null) log.info('the reading store takes readings again');
        this.#trouble = null;
        this.#retryMs = RETRY_MS_MIN;
        return result;
      } catch (error) {
        const trouble = `${what}: ${(error as Error).message}`;
        if (trouble !== this.#trouble) log.warn(`${trouble}. They wait in the spool.`);
        this.#trouble = trouble;
      }
      if (!this.#stopping) await this.#pause();
      if (this.#stopping) return null;
    }
  }

  #count(outcome: AppendOutcome): void {
    this.#inHand = 0;
    if (outcome.refused.length > 0) this.#options.refuse?.(outcome.refused);
    this.#counts = {
      stored: this.#counts.stored + outcome.stored,
      duplicates: this.#counts.duplicates + outcome.duplicates,
      refused: this.#counts.refused + outcome.refused.length,
    };
  }

  #pause(): Promise<void> {
    return new Promise((resolve) => {
      const pauseMs = this.#retryMs * (1 - JITTER_RATIO * (this.#options.random?.() ?? 0));
      this.#retry = { stop: this.#options.clock.after(pauseMs, resolve), wake: resolve };
      this.#retryMs = Math.min(RETRY_MS_MAX, this.#retryMs * 2);
    });
  }
}

/** True if a place is at or behind (before) another. */
function isBehind(a: SpoolPosition, b: SpoolPosition): boolean {
  return a.segment < b.segment || (a.segment === b.segment && a.offset <= b.offset);
}

function samePosition(a: SpoolPosition, b: SpoolPosition): boolean {
  return a.segment === b.segment && a.offset === b.offset;
}
