import type { Clock } from '../../ports/clock.ts';

/** Chance, from 0 to 1. */
export const systemRandom = (): number => Math.random();

/** The machine's clock. The only place that reads it. */
export const systemClock: Clock = {
  nowMs: () => Date.now(),
  monotonicMs: () => performance.now(),
  after(delayMs, run) {
    const timer = setTimeout(run, delayMs);
    return () => clearTimeout(timer);
  },
  every(intervalMs, run) {
    const timer = setInterval(run, intervalMs);
    return () => clearInterval(timer);
  },
};
