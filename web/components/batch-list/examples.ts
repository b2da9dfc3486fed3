import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { BatchList } from './batch-list.tsx';
import { SAMPLE_BATCHES } from './sample-batches.ts';

const shown = (heldBy: Parameters<typeof BatchList>[0]['heldBy']) =>
  h(BatchList, {
    id: 'h-batches',
    heading: 'Before',
    batches: SAMPLE_BATCHES,
    kegName: (kegId) => (kegId === 'right' ? 'Right keg' : kegId === 'middle' ? 'Middle keg' : kegId),
    heldBy,
    units: DEFAULT_UNITS,
    zone: 'Europe/Vienna',
    nowMs: deviceNowMs(),
  });

export const examples: readonly Example[] = [
  { name: 'told', render: () => shown(() => ({ volumes: 2.38, low: 2.31, high: 2.45 })) },
  { name: 'asking', render: () => shown(() => undefined) },
  { name: 'never told', render: () => shown(() => null) },
];
