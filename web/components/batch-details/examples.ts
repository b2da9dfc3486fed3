import { h } from 'preact';
import { OPEN_BATCH, PAST_BATCH } from '../batch-list/sample-batches.ts';
import type { Example } from '../example.ts';
import { BatchDetails } from './batch-details.tsx';

const onChange = () => Promise.resolve(null);

export const examples: readonly Example[] = [
  { name: 'all known', render: () => h(BatchDetails, { batch: PAST_BATCH, onChange }) },
  { name: 'some unknown', render: () => h(BatchDetails, { batch: OPEN_BATCH, onChange }) },
];
