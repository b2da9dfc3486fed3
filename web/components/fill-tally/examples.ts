import { h } from 'preact';
import type { Example } from '../example.ts';
import { FillTally } from './fill-tally.tsx';
import { sampleBottles } from './sample-bottles.ts';

export const examples: readonly Example[] = [
  { name: 'none yet', render: () => h(FillTally, { bottles: [], planned: 24, doneWords: null }) },
  {
    name: 'seven of 24',
    render: () => h(FillTally, { bottles: sampleBottles(7), planned: 24, doneWords: 'done about 19:52' }),
  },
  { name: 'sixty', render: () => h(FillTally, { bottles: sampleBottles(41), planned: 60, doneWords: null }) },
  {
    name: 'one, without a plan',
    render: () => h(FillTally, { bottles: sampleBottles(1), planned: 0, doneWords: null }),
  },
];
