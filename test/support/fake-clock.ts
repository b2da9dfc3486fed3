import type { Clock, StopTimer } from '../../src/ports/clock.ts';

interface Timer {
  readonly run: () => void;
  readonly everyMs: number | null;
  dueMs: number;
}

/** A clock that stands still until it is told to go on. It refuses to go back; only its wall time may step. */
export class FakeClock implements Clock {
  #elapsedMs = 0;
  #wallOffsetMs: number;
  readonly #timers = new Set<Timer>();

  constructor(startMs: number) {
    this.#wallOffsetMs = startMs;
  }

  nowMs(): number {
    return this.#wallOffsetMs + this.#elapsedMs;
  }

  monotonicMs(): number {
    return this.#elapsedMs;
  }

  after(delayMs: number, run: () => void): StopTimer {
    return this.#add({ run, everyMs: null, dueMs: this.#elapsedMs + Math.max(0, delayMs) });
  }

  every(intervalMs: number, run: () => void): StopTimer {
    return this.#add({ run, everyMs: intervalMs, dueMs: this.#elapsedMs + intervalMs });
  }

  /** Timers that still wait. */
  waiting(): number {
    return this.#timers.size;
  }

  /** Goes on by a duration; every timer that falls due runs at its own time, the earliest first. */
  advance(durationMs: number): void {
    if (!(durationMs >= 0)) throw new RangeError(`a clock cannot go ${durationMs} ms on`);
    const untilMs = this.#elapsedMs + durationMs;
    for (;;) {
      const next = [...this.#timers].sort((a, b) => a.dueMs - b.dueMs)[0];
      if (next === undefined || next.dueMs > untilMs) break;
      this.#elapsedMs = Math.max(this.#elapsedMs, next.dueMs);
      if (next.everyMs === null) this.#timers.delete(next);
      else next.dueMs += next.everyMs;
      next.run();
    }
    this.#elapsedMs = untilMs;
  }

  /** Goes on to a wall time that lies ahead. */
  advanceTo(wallMs: number): void {
    this.advance(wallMs - this.nowMs());
  }

  /** Sets the wall clock, as a time server does: durations and timers do not feel it. */
  stepWall(byMs: number): void {
    this.#wallOffsetMs += byMs;
  }

  #add(timer: Timer): StopTimer {
    this.#timers.add(timer);
    return () => this.#timers.delete(timer);
  }
}
