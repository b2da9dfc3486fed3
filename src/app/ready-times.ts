import type * as contract from '../contract/index.ts';
import { isNewForecast, judgeForecasts, type ReadyForecast } from '../domain/ready-times.ts';
import type { Clock } from '../ports/clock.ts';
import type { VerdictJournal } from '../ports/journal.ts';
import type { Log } from '../ports/log.ts';
import type { ReadyBook } from '../ports/ready-book.ts';
import type { Feed } from './feed.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import { instant, instantOrNull } from './present.ts';
import type { Register } from './register.ts';

export interface ReadyTimesOptions {
  readonly book: ReadyBook;
  readonly feed: Pick<Feed, 'listen'>;
  readonly register: Register;
  readonly verdicts: Pick<VerdictJournal, 'verdictsWithin'>;
  readonly clock: Clock;
  readonly log: Log;
}

/** What is known of a batch without asking the book every second. */
interface Known {
  readonly forecasts: ReadyForecast[];
  came: boolean;
}

/** Keeps what was forecast of each batch, a forecast a day, and holds it against what came. */
export class ReadyTimes {
  readonly #options: ReadyTimesOptions;
  readonly #known = new Map<string, Known>();
  #trouble = false;

  constructor(options: ReadyTimesOptions) {
    this.#options = options;
    options.feed.listen((frame) => {
      if (frame.type === 'keg') this.#follow(frame.state);
    });
  }

  of(batchId: string): Outcome<contract.ReadyTimes> {
    const { register, book, verdicts, clock } = this.#options;
    const batch = register.batch(batchId);
    if (batch === null) return refuse('batch-unknown', `There is no batch ${batchId}.`);
    const nowMs = clock.nowMs();
    const untilMs = batch.endedAtMs ?? nowMs + 1;
    const said = verdicts.verdictsWithin(batch.kegId, batch.beganAtMs, untilMs);
    const ready = said.find(({ kind, atMs }) => kind === 'ready' && atMs >= batch.beganAtMs);
    const cameAtMs = book.cameAtMs(batchId);
    const judged = judgeForecasts(book.forecasts(batchId), cameAtMs, Math.min(nowMs, untilMs));
    return done({
      batchId,
      inWindowAt: instantOrNull(cameAtMs),
      readyAt: instantOrNull(ready?.atMs ?? null),
      forecasts: judged.map(({ atMs, expectedAtMs, ...forecast }) => ({
        ...forecast,
        at: instant(atMs),
        expectedAt: instant(expectedAtMs),
      })),
    });
  }

  #follow({ batchId, at, readyIn, verdict }: contract.KegState): void {
    if (batchId === null) return;
    const { book, log } = this.#options;
    try {
      const known = this.#knownOf(batchId);
      if (known.came) return;
      const atMs = Date.parse(at);
      if (verdict.checks.some(({ name, state }) => name === 'carbonation' && state === 'pass')) {
        // Right from the first word on: when that came about nobody saw, and nothing was forecast.
        if (known.forecasts.length === 0) return;
        book.saveCame(batchId, atMs);
        known.came = true;
      } else if (readyIn !== null && isNewForecast(known.forecasts, atMs)) {
        const forecast = { atMs, ...readyIn };
        book.saveForecast(batchId, forecast);
        known.forecasts.push(forecast);
      }
      this.#trouble = false;
    } catch (error) {
      // What is told to the pages must not wait for a full disk.
      if (!this.#trouble) log.error(`forecasts cannot be kept: ${(error as Error).message}`);
      this.#trouble = true;
    }
  }

  #knownOf(batchId: string): Known {
    const known = this.#known.get(batchId);
    if (known !== undefined) return known;
    const { book } = this.#options;
    const read = { forecasts: book.forecasts(batchId), came: book.cameAtMs(batchId) !== null };
    this.#known.set(batchId, read);
    return read;
  }
}
