import { type ComponentChild, h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { LimitsForm } from './limits-form.tsx';

const onChange = () => Promise.resolve(null);

/** As it stands on its page: below a heading. */
const below = (form: ComponentChild) => h('section', null, h('h2', null, 'What its checks want'), form);

export const examples: readonly Example[] = [
  { name: 'all usual', render: () => below(h(LimitsForm, { limits: {}, units: DEFAULT_UNITS, onChange })) },
  {
    name: 'some set, American units',
    render: () =>
      below(
        h(LimitsForm, {
          limits: { servingKpaHigh: 97, restHours: 24, bottlesC: 2 },
          units: { temperature: '[degF]', pressure: '[psi]', carbonation: 'volumes', volume: '[gal_us]' },
          onChange,
        }),
      ),
  },
];
