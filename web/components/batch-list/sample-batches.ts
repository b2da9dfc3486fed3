import type { Batch } from '../../../src/contract/catalogue.ts';
import { deviceNowMs } from '../../store/clock.ts';

/** Invented batches of a village club's garage fridge, newest first, for examples and tests only. */
const ago = (days: number): string => new Date(deviceNowMs() - days * 86_400_000).toISOString();

function batch(parts: Pick<Batch, 'batchId' | 'kegId' | 'name' | 'beganAt' | 'endedAt'> & Partial<Batch>): Batch {
  return { brewId: null, style: null, abvPercent: null, originalExtractPlato: null, limits: {}, ...parts };
}

export const OPEN_BATCH = batch({
  batchId: 'b1',
  kegId: 'right',
  name: 'Slow Bicycle',
  style: 'porter',
  abvPercent: 5.2,
  beganAt: ago(6.1),
  endedAt: null,
  limits: { restHours: 24 },
});
export const PAST_BATCH = batch({
  batchId: 'b0',
  kegId: 'middle',
  name: 'Patient Ferry',
  style: 'brown ale',
  abvPercent: 4.4,
  originalExtractPlato: 11.5,
  beganAt: ago(15.08),
  endedAt: ago(9),
});
export const SAMPLE_BATCHES: readonly Batch[] = [
  OPEN_BATCH,
  PAST_BATCH,
  batch({ batchId: 'b-2', kegId: 'gone', name: 'The Long Way to the Letterbox', beganAt: ago(420), endedAt: ago(390) }),
];
