/** Stops a timer; calling it again does nothing. */
export type StopTimer = () => void;

/** Time as the application may see it. Only `adapters/clock` and test clocks implement it. */
export interface Clock {
  /** Wall time, epoch milliseconds UTC. May step. */
  nowMs(): number;
  /** Never steps back; only differences mean anything (ms). */
  monotonicMs(): number;
  after(delayMs: number, run: () => void): StopTimer;
  every(intervalMs: number, run: () => void): StopTimer;
}
