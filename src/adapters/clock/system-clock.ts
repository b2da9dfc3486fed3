import type { Clock } from '../../ports/clock.ts';

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
