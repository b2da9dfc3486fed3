import { deviceNowMs } from '../../store/clock.ts';
import type { LocalBottle } from '../../store/fill-queue.ts';

const EVERY_MS = 70_000;

/** Bottles filled one after the other until now, the fifth of them foamy. */
export function sampleBottles(count: number): LocalBottle[] {
  return Array.from({ length: count }, (_, index) => ({
    bottleId: `00000000-0000-4000-8000-${String(index + 1).padStart(12, '0')}`,
    number: index + 1,
    sizeL: 0.5,
    note: index === 4 ? 'foamy' : 'clean',
    filledAt: new Date(deviceNowMs() - (count - index) * EVERY_MS).toISOString(),
  }));
}
