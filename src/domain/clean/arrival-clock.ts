/** A timed thing that arrived. */
export interface Arrival {
  readonly source: string;
  readonly atMs: number;
}

/** Times this far ahead of what was heard before need a second witness (ms): one wrong clock must not move time. */
const LEAP_MS = 3600_000;
/** How far the second of all arrivals may lie after the first, which had nothing to be compared with (ms). */
const FIRST_GAP_MS = 7 * 24 * 3600_000;
/** Arrivals that wait for a witness; beyond, the latest are given up. */
const WAITING_MAX = 20_000;

/**
 * Tells the present from the times of what arrives, where nobody noted when it arrived. "Now" is the latest believed
 * time. A leap ahead is believed when another reading confirms it, as after a silence of all probes; until then it
 * waits, and if time itself gets there it is taken then.
 */
export class ArrivalClock<A extends Arrival> {
  #nowMs: number | null = null;
  /** In order of time. */
  #waiting: A[] = [];
  #last: A | null = null;

  get nowMs(): number | null {
    return this.#nowMs;
  }

  /** How many leapt ahead and were not believed yet. */
  get waiting(): number {
    return this.#waiting.length;
  }

  /** Takes the next arrival in; gives those that may be used now, in the order of their times. */
  take(arrival: A): readonly A[] {
    if (this.#nowMs !== null && arrival.atMs <= this.#nowMs + LEAP_MS) {
      this.#last = null;
      return this.#believe(arrival, arrival.atMs);
    }
    const witness = this.#last;
    if (witness !== null && this.#confirms(witness, arrival)) {
      this.#last = null;
      return this.#believe(arrival, Math.max(witness.atMs, arrival.atMs));
    }
    this.#last = arrival;
    this.#wait(arrival);
    return [];
  }

  /** Two that arrive one after the other tell the same time if the second follows the first at no greater pace. */
  #confirms(witness: A, arrival: A): boolean {
    if (witness.source === arrival.source && witness.atMs === arrival.atMs) return false;
    // A probe that speaks every few hours leaps each time, and follows itself at its own pace.
    const paceMs = this.#nowMs === null ? FIRST_GAP_MS : Math.max(LEAP_MS, 2 * (witness.atMs - this.#nowMs));
    const aheadMs = arrival.atMs - witness.atMs;
    return aheadMs >= -LEAP_MS && aheadMs <= paceMs;
  }

  #believe(arrival: A, untilMs: number): readonly A[] {
    this.#nowMs = Math.max(this.#nowMs ?? untilMs, untilMs);
    if (this.#waiting.length === 0) return [arrival];
    const reachMs = this.#nowMs + LEAP_MS;
    const taken = this.#waiting.filter(({ atMs }) => atMs <= reachMs);
    if (taken.length === 0) return [arrival];
    this.#waiting = this.#waiting.filter(({ atMs }) => atMs > reachMs);
    const believed = [...taken, arrival].toSorted((a, b) => a.atMs - b.atMs);
    this.#nowMs = Math.max(this.#nowMs, ...taken.map(({ atMs }) => atMs));
    return believed;
  }

  #wait(arrival: A): void {
    const after = this.#waiting.findIndex(({ atMs }) => atMs > arrival.atMs);
    this.#waiting.splice(after < 0 ? this.#waiting.length : after, 0, arrival);
    if (this.#waiting.length > WAITING_MAX) this.#waiting.pop();
  }
}
