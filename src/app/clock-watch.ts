import { type ClockReading, type ClockTrust, clockTrouble, judgeClock, stepBetween } from '../domain/clock-trust.ts';
import type { Clock } from '../ports/clock.ts';
import type { CounterJournal } from '../ports/journal.ts';
import type { Log } from '../ports/log.ts';

const LINES_COUNTER = 'clock-lines';
const offsetCounter = (line: number) => `clock-line-${line}-offset`;

/** A time of receipt. While the clock is not trusted, it lies on a line of which only the slope is known. */
export interface Stamp {
  readonly receivedAtMs: number;
  /** Which line; left out if the time is the true one. */
  readonly clockLine?: number;
}

/**
 * Watches the machine's own clock. Until it can be trusted, times of receipt are noted by the clock that never steps; once
 * it can, the distance between the two is kept, so that those times can be told for good.
 */
export class ClockWatch {
  readonly #clock: Clock;
  readonly #journal: CounterJournal;
  readonly #log: Log;
  #trust: ClockTrust = { kind: 'trusted' };
  #newestHeardMs: number | null = null;
  #last: ClockReading;
  /** The line of times while the clock is not trusted, and where it begins. */
  #line: { readonly id: number; readonly start: ClockReading } | null = null;

  constructor(clock: Clock, journal: CounterJournal, log: Log) {
    this.#clock = clock;
    this.#journal = journal;
    this.#log = log;
    this.#last = this.#read();
  }

  /** @param newestHeardMs the newest time of receipt known from before; null if there is none */
  start(newestHeardMs: number | null): void {
    this.#newestHeardMs = newestHeardMs;
    this.#judge(null);
  }

  isTrusted(): boolean {
    return this.#trust.kind === 'trusted';
  }

  trouble(): string | null {
    return clockTrouble(this.#trust, this.#clock.nowMs());
  }

  /** Looks at the clocks again; tells whether trust was gained, and by how much the wall clock was set. */
  tick(): { readonly gained: boolean; readonly stepMs: number | null } {
    const before = this.#last;
    const wasTrusted = this.isTrusted();
    this.#judge(this.#trust);
    const stepMs = stepBetween(before, this.#last);
    if (stepMs !== null) this.#log.info(`the clock of this machine was set by ${Math.round(stepMs / 1000)} s`);
    return { gained: !wasTrusted && this.isTrusted(), stepMs };
  }

  stamp(): Stamp {
    // A message may come between two looks, right after the clock was set back.
    if (this.isTrusted()) this.#judge(this.#trust);
    if (this.#line === null) return { receivedAtMs: this.#clock.nowMs() };
    const { id, start } = this.#line;
    return { receivedAtMs: start.wallMs + this.#clock.monotonicMs() - start.monotonicMs, clockLine: id };
  }

  /** The true time of a stamp; null while, or for ever if, it cannot be told. */
  timeOf({ receivedAtMs, clockLine }: Stamp): number | null {
    if (clockLine === undefined) return receivedAtMs;
    const offsetMs = this.#journal.counter(offsetCounter(clockLine));
    return offsetMs === null ? null : receivedAtMs + offsetMs;
  }

  #judge(before: ClockTrust | null): void {
    const now = this.#read();
    this.#trust = judgeClock(before, now, this.#newestHeardMs);
    this.#last = now;
    if (!this.isTrusted() && this.#line === null) this.#begin(now);
    if (this.isTrusted() && this.#line !== null) this.#end(this.#line, now);
  }

  #begin(start: ClockReading): void {
    const id = (this.#journal.counter(LINES_COUNTER) ?? 0) + 1;
    this.#journal.saveCounter(LINES_COUNTER, id);
    this.#line = { id, start };
    this.#log.warn(this.trouble() ?? '');
  }

  #end({ id, start }: { readonly id: number; readonly start: ClockReading }, now: ClockReading): void {
    const offsetMs = Math.round(now.wallMs - now.monotonicMs - (start.wallMs - start.monotonicMs));
    // Before anything is stored by it: the same message must always get the same time.
    this.#journal.saveCounter(offsetCounter(id), offsetMs);
    this.#line = null;
    this.#log.info('the clock of this machine is trusted from now on');
  }

  #read(): ClockReading {
    return { wallMs: this.#clock.nowMs(), monotonicMs: this.#clock.monotonicMs() };
  }
}
