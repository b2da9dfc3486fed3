import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { FillDetails } from './fill-details.tsx';

const common = { units: DEFAULT_UNITS, onChange: () => Promise.resolve(null) };

export const examples: readonly Example[] = [
  {
    name: 'nothing said',
    render: () => h(FillDetails, { fill: { lostL: 0, remark: null, tasteAfterDays: 21 }, ...common }),
  },
  {
    name: 'said',
    render: () => h(FillDetails, { fill: { lostL: 0.4, remark: 'Line was warm', tasteAfterDays: null }, ...common }),
  },
];
