import { h } from 'preact';
import type { Units } from '../../../src/contract/catalogue.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import type { Limits } from './entry.ts';
import { LimitsForm } from './limits-form.tsx';

/** As it stands on a keg’s page: below the heading of its part. */
const shown = (limits: Limits, units: Units) =>
  h('section', null, h('h2', null, 'What its checks want'), h(LimitsForm, { limits, units, onChange }));
const onChange = () => Promise.resolve(null);
const AMERICAN: Units = { temperature: '[degF]', pressure: '[psi]', carbonation: 'volumes', volume: '[gal_us]' };

export const examples: readonly Example[] = [
  { name: 'all usual', render: () => shown({}, DEFAULT_UNITS) },
  {
    name: 'some set, American units',
    render: () => shown({ servingKpaHigh: 97, restHours: 24, bottlesC: 2 }, AMERICAN),
  },
];
