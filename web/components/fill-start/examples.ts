import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { FillStart } from './fill-start.tsx';

const common = { units: DEFAULT_UNITS, planPath: '/kegs/right/plan', onStart: () => undefined };

export const examples: readonly Example[] = [
  {
    name: 'ready',
    render: () => h(FillStart, { kind: 'ready', headline: 'Fill whenever you like.', leftL: 18, ...common }),
  },
  {
    name: 'needs you, and too little beer',
    render: () => h(FillStart, { kind: 'act', headline: 'Turn the regulator to 0.63 bar.', leftL: 8, ...common }),
  },
];
