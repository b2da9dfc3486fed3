import { h } from 'preact';
import type { Example } from '../example.ts';
import { FirstSteps } from './first-steps.tsx';

export const examples: readonly Example[] = [{ name: 'nothing heard', render: () => h(FirstSteps, null) }];
