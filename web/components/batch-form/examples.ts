import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { BatchForm } from './batch-form.tsx';

export const examples: readonly Example[] = [
  {
    name: 'empty',
    render: () =>
      h(BatchForm, {
        defaults: {
          nowMs: deviceNowMs(),
          zone: 'Europe/Vienna',
          units: DEFAULT_UNITS,
          capacityL: 19,
          beerC: 4.2,
          target: { low: 2, high: 2.5, celsius: 2 },
        },
        onStart: () => Promise.resolve(null),
      }),
  },
];
