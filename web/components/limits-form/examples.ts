import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { LimitsForm } from './limits-form.tsx';

const onChange = () => Promise.resolve(null);

export const examples: readonly Example[] = [
  { name: 'all usual', render: () => h(LimitsForm, { limits: {}, units: DEFAULT_UNITS, onChange }) },
  {
    name: 'some set, American units',
    render: () =>
      h(LimitsForm, {
        limits: { servingKpaHigh: 97, restHours: 24, bottlesC: 2 },
        units: { temperature: '[degF]', pressure: '[psi]', carbonation: 'volumes', volume: '[gal_us]' },
        onChange,
      }),
  },
];
