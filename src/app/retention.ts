import { retireBeforeMs } from '../domain/retention.ts';
import { bucketStartMs } from '../domain/storable-reading.ts';
import type { Clock, StopTimer } from '../ports/clock.ts';
import type { Log } from '../ports/log.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { Register } from './register.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 24 * 3600_000;
const FIRST_AFTER_MS = 10 * MINUTE_MS;
const EVERY_MS = 6 * 3600_000;
/** Readings that go at a time: some milliseconds of work. */
const PORTION = 2000;
/** Between two portions others have their turn (ms). */
const PAUSE_MS = 20;
/** Newest readings of a probe that stay however old they are: they tell how often it speaks. */
const NEWEST_KEPT = 16;

export interface RetentionOptions {
  readonly register: Register;
  readonly store: ReadingStore;
  readonly clock: Clock;
  readonly log: Log;
  readonly rawDays: number;
}

/** Retires old readings to their minutes, a few at a time, so that nothing else has to wait. */
export class Retention {
  readonly #options: RetentionOptions;
  #stopTimer: StopTimer = () => undefined;
  #endPause: () => void = () => undefined;
  #running: Promise<void> | null = null;
  #stopped = false;

  constructor(options: RetentionOptions) {
    this.#options = options;
  }

  start(): void {
    this.#schedule(FIRST_AFTER_MS);
  }

  async stop(): Promise<void> {
    this.#stopped = true;
    this.#stopTimer();
    this.#endPause();
    await this.#running;
  }

  /** Goes through all probes once; resolves to how many readings went. Rejects if the store cannot be reached. */
  async run(): Promise<number> {
    const { register, store, rawDays, clock } = this.#options;
    const extents = await store.extents();
    // A clock that leapt ahead must not make everything old: nothing is older than the newest reading makes it.
    const newestMs = extents.reduce((newest, { lastMs }) => Math.max(newest, lastMs), Number.NEGATIVE_INFINITY);
    const nowMs = Math.min(clock.nowMs(), newestMs);
    const agoMs = nowMs - rawDays * DAY_MS;
    let retired = 0;
    for (const { probeId } of extents) {
      const probe = register.directory().byId(probeId);
      const beforeMs =
        probe === null ? agoMs : retireBeforeMs(probe.subject, register.kegs(), register.batches(), rawDays, nowMs);
      retired += await this.#retire(probeId, beforeMs, agoMs);
      if (this.#stopped) break;
    }
    return retired;
  }

  async #retire(probeId: string, neededFromMs: number, receivedBeforeMs: number): Promise<number> {
    const { store } = this.#options;
    const [oldestKept] = await store.latest(probeId, NEWEST_KEPT);
    const endMs = bucketStartMs(Math.min(neededFromMs, oldestKept?.measuredAtMs ?? neededFromMs), MINUTE_MS);
    let retired = 0;
    for (let fromMs = Number.MIN_SAFE_INTEGER; fromMs < endMs && !this.#stopped; ) {
      const next = await store.range(probeId, fromMs, endMs, PORTION);
      const [first, last] = [next[0], next.at(-1)];
      if (first === undefined || last === undefined) break;
      const startMs = bucketStartMs(first.measuredAtMs, MINUTE_MS);
      // A portion that was cut off ends before its last minute, unless it has no other.
      const whole = next.length < PORTION ? endMs : bucketStartMs(last.measuredAtMs, MINUTE_MS);
      fromMs = Math.min(Math.max(whole, startMs + MINUTE_MS), startMs + DAY_MS, endMs);
      const untilMs = fromMs;
      // What was imported lately is looked at lately, however old it is.
      const isNew = next.some(
        ({ receivedAtMs, measuredAtMs }) => measuredAtMs < untilMs && receivedAtMs > receivedBeforeMs,
      );
      if (!isNew) retired += await store.retire(probeId, startMs, untilMs);
      await this.#pause();
    }
    return retired;
  }

  #schedule(afterMs: number): void {
    this.#stopTimer = this.#options.clock.after(afterMs, () => {
      this.#running = this.#round().finally(() => {
        this.#running = null;
        if (!this.#stopped) this.#schedule(EVERY_MS);
      });
    });
  }

  async #round(): Promise<void> {
    const { log } = this.#options;
    try {
      const retired = await this.run();
      if (retired > 0) log.info(`${retired} old readings are kept as minutes from now on`);
    } catch (error) {
      log.warn(`old readings cannot be summed up now: ${(error as Error).message}. It is tried again later.`);
    }
  }

  #pause(): Promise<void> {
    if (this.#stopped) return Promise.resolve();
    return new Promise((resolve) => {
      const stop = this.#options.clock.after(PAUSE_MS, resolve);
      this.#endPause = () => {
        stop();
        resolve();
      };
    });
  }
}
