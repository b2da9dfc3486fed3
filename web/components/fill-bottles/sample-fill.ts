import type { Fill, FilledBottle } from '../../../src/contract/fill.ts';
import { deviceNowMs } from '../../store/clock.ts';
import { sampleBottles } from '../fill-tally/sample-bottles.ts';

/** An invented fill of a porter, for examples and tests. */
const ago = (ms: number): string => new Date(deviceNowMs() - ms).toISOString();
const HOUR_MS = 3_600_000;

export function sampleFilled(count: number): FilledBottle[] {
  return sampleBottles(count).map((bottle, index) => ({
    ...bottle,
    remark: index === 4 ? 'first of a warm crate' : null,
    conditions: {
      at: bottle.filledAt,
      beerTemperatureC: 0.9 + index * 0.04,
      headspaceKpaGauge: 68,
      dissolved: { volumes: 2.41, low: 2.33, high: 2.49 },
      verdict: 'ready',
    },
    destination: index === 0 ? 'competition' : 'kept',
    destinationText: index === 0 ? 'Spring cup' : null,
    tasting: index === 1 ? { at: ago(HOUR_MS), text: 'Bright, a little soft', opinion: 'good' } : null,
  }));
}

export function sampleFill(parts: Partial<Fill> = {}): Fill {
  const bottles = parts.bottles ?? sampleFilled(7);
  return {
    fillId: 'f1',
    kegId: 'right',
    batchId: 'b1',
    batchName: 'Slow Bicycle',
    startedAt: ago(2 * HOUR_MS),
    endedAt: ago(HOUR_MS),
    planned: [{ count: 24, sizeL: 0.5 }],
    line: null,
    restHours: 40,
    beerAtStartL: 18.4,
    drawnL: 3.7,
    lostL: 0.2,
    remark: null,
    tasteAfterDays: 21,
    bottleCount: bottles.length,
    notes: { clean: bottles.length - 1, foamy: 1, gushed: 0, spilled: 0, 'under-filled': 0 },
    ...parts,
    bottles,
  };
}
