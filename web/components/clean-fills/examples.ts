import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { CleanFillsPart } from './clean-fills.tsx';
import { SAMPLE_FEW, SAMPLE_LEARNT } from './sample-learnt.ts';

export const examples: readonly Example[] = [
  { name: 'few data', render: () => h(CleanFillsPart, { learnt: SAMPLE_FEW, units: DEFAULT_UNITS }) },
  { name: 'nine fills', render: () => h(CleanFillsPart, { learnt: SAMPLE_LEARNT, units: DEFAULT_UNITS }) },
];
