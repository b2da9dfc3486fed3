import { h } from 'preact';
import type { Example } from '../example.ts';
import { KegLearning } from './keg-learning.tsx';

const LEARNT = {
  batchId: 'b0',
  batchName: 'Wet Tuesday',
  endedAt: '2026-03-01T18:30:00.000Z',
  days: 3.14,
  lowDays: 2.2,
  highDays: 4.5,
  cooling: { hours: 10.4, lowHours: 9.1, highHours: 11.9 },
};

export const examples: readonly Example[] = [
  {
    name: 'taught by the last beer',
    render: () => h(KegLearning, { learnt: LEARNT, zone: 'UTC', onForget: () => Promise.resolve(null) }),
  },
  {
    name: 'never seen cooling',
    render: () =>
      h(KegLearning, { learnt: { ...LEARNT, cooling: null }, zone: 'UTC', onForget: () => Promise.resolve(null) }),
  },
  {
    name: 'could not be forgotten',
    render: () =>
      h(KegLearning, {
        learnt: LEARNT,
        zone: 'UTC',
        onForget: () => Promise.resolve({ detail: 'Quietkeg did not answer.', errors: [] }),
      }),
  },
];
