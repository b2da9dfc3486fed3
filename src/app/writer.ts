import type { Reading } from '../domain/reading.ts';
import type { Clock, StopTimer } from '../ports/clock.ts';
import type { Log } from '../ports/log.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { Spool, SpoolGroup, SpoolPosition, SpoolRecord } from '../ports/spool.ts';

const BATCH_READINGS_MAX = 2_000;
const BATCH_RECORDS_MAX = 1_000;
/** Readings held in memory for the store; beyond, they are read from the spool again when their turn comes. */
const WAITING_READINGS_MAX = 20_000;
const RETRY_MS_MIN = 500;
const RETRY_MS_MAX = 30_000;

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
}

/** Moves readings from the spool into the store, in order, for as long as it takes. Memory stays bounded. */
export class Writer {
  readonly #options: WriterOptions;
  #queue: Batch[] = [];
  #queuedReadings = 0;
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

  /** Takes the readings of a committed group. */
  enqueue(group: SpoolGroup, readings: readonly Reading[]): void {
    if (!this.#behind) {
      if (this.#queuedReadings + readings.length > WAITING_READINGS_MAX) {
        this.#behind = true;
      } else {
        this.#queue.push({ readings, end: group.end });
        this.#queuedReadings += readings.length;
      }
    }
    this.#run();
  }

  counts(): WriterCounts {
    return { ...this.#counts };
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
      if (this.#queue.length > 0 || this.#behind) this.#run();
    });
  }

  async #drain(): Promise<void> {
    while (!this.#stopping) {
      if (this.#queue.length === 0 && !this.#behind) return;
      const batch = this.#queue.length > 0 ? this.#takeQueued() : await this.#readBehind();
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
      if (group === null) return null;
      const { records, end } = group;
      if (records.length > 0) return { readings: records.flatMap(decode), end };
      // Nothing was committed while the spool was read: from here on the queue is complete again.
      if (samePosition(end, spool.end())) this.#behind = false;
      if (!samePosition(end, spool.checkpoint())) return { readings: [], end };
      if (!this.#behind) return null;
    }
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

  #count(outcome: { stored: number; duplicates: number; refused: readonly unknown[] }): void {
    this.#counts = {
      stored: this.#counts.stored + outcome.stored,
      duplicates: this.#counts.duplicates + outcome.duplicates,
      refused: this.#counts.refused + outcome.refused.length,
    };
  }

  #pause(): Promise<void> {
    return new Promise((resolve) => {
      this.#retry = { stop: this.#options.clock.after(this.#retryMs, resolve), wake: resolve };
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
