import type { Backups } from '../ports/backups.ts';
import type { Clock, StopTimer } from '../ports/clock.ts';
import type { Log } from '../ports/log.ts';
import { dayOf, minuteOfDay } from './local-time.ts';

const MINUTE_MS = 60_000;
const LOOK_EVERY_MS = 10 * MINUTE_MS;
/** The house sleeps; clocks that are set twice a year have been set. */
const FROM_MINUTE = 3 * 60 + 30;
/** What failed is tried again after this (ms): a full disk is not emptied by asking often. */
const RETRY_MS = 60 * MINUTE_MS;

export interface NightlyBackupOptions {
  readonly clock: Clock;
  readonly log: Log;
  readonly backups: Backups;
  /** How many are kept; 0 makes none. Asked each time, because it may be set while the service runs. */
  readonly keep: () => number;
  /** IANA name. */
  readonly timeZone: () => string;
  /** False while nobody knows what day it is. */
  readonly clockTrusted: () => boolean;
}

/**
 * One backup each night, the newest of them kept. What has been made is seen in the folder itself, so a restart neither
 * forgets one nor makes one twice, and a clock that was set makes at most one more.
 */
export class NightlyBackup {
  readonly #options: NightlyBackupOptions;
  #stopTimer: StopTimer = () => undefined;
  #running: Promise<void> | null = null;
  #retryAtMs = Number.NEGATIVE_INFINITY;
  #trouble: string | null = null;

  constructor(options: NightlyBackupOptions) {
    this.#options = options;
  }

  start(): void {
    this.#stopTimer = this.#options.clock.every(LOOK_EVERY_MS, () => this.look());
  }

  async stop(): Promise<void> {
    this.#stopTimer();
    this.#options.backups.stop();
    await this.#running;
  }

  /** Null, or why the last one could not be made. */
  trouble(): string | null {
    return this.#options.keep() === 0 ? null : this.#trouble;
  }

  /** When the newest backup was made; null if there is none. */
  newestMs(): number | null {
    try {
      const times = this.#options.backups.list().map(({ atMs }) => atMs);
      return times.length === 0 ? null : Math.max(...times);
    } catch {
      return null;
    }
  }

  /** Begins a backup if one is due. */
  look(): void {
    const { clock, keep, clockTrusted } = this.#options;
    if (this.#running !== null || keep() === 0 || !clockTrusted() || clock.monotonicMs() < this.#retryAtMs) return;
    try {
      if (!this.#isDue()) return;
    } catch (error) {
      this.#failed((error as Error).message);
      return;
    }
    this.#running = this.#make().finally(() => {
      this.#running = null;
    });
  }

  #isDue(): boolean {
    const { clock, timeZone, backups } = this.#options;
    const [nowMs, zone] = [clock.nowMs(), timeZone()];
    if (minuteOfDay(nowMs, zone) < FROM_MINUTE) return false;
    const today = dayOf(nowMs, zone);
    return !backups.list().some(({ atMs }) => dayOf(atMs, zone) === today);
  }

  async #make(): Promise<void> {
    const { backups, log, keep } = this.#options;
    const outcome = await backups.make();
    if (!outcome.ok) {
      this.#failed(outcome.trouble);
      return;
    }
    this.#trouble = null;
    log.info(`the nightly backup ${outcome.name} is made and was restored once`, { bytes: outcome.bytes });
    // Only now that a newer one is good does an old one go.
    const oldest = backups
      .list()
      .toSorted((a, b) => b.atMs - a.atMs)
      .slice(Math.max(1, keep()));
    for (const { name } of oldest) {
      try {
        backups.remove(name);
      } catch (error) {
        log.warn(`the old backup ${name} cannot be removed: ${(error as Error).message}`);
      }
    }
  }

  #failed(trouble: string): void {
    const { log, clock } = this.#options;
    this.#retryAtMs = clock.monotonicMs() + RETRY_MS;
    if (trouble !== this.#trouble) log.error(`no nightly backup: ${trouble}`);
    this.#trouble = trouble;
  }
}
