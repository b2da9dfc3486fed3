import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { Way } from './way.tsx';

const base = {
  units: DEFAULT_UNITS,
  low: 2.3,
  high: 2.6,
  old: false,
  lastAt: 'last at 14:02',
  ambient: false,
  act: false,
};
const inside = { volumes: 2.38, low: 2.31, high: 2.45 };

const shown = (kind: string, props: Partial<Parameters<typeof Way>[0]>) =>
  h(
    'div',
    { class: `is-${kind} example-way` },
    h(Way, { ...base, dissolved: null, equilibriumVolumes: null, ...props }),
  );

export const examples: readonly Example[] = [
  { name: 'estimate unknown', render: () => shown('unknown', { equilibriumVolumes: 2.38 }) },
  { name: 'heading far beyond', render: () => shown('unknown', { equilibriumVolumes: 4.1 }) },
  { name: 'nothing known', render: () => shown('unknown', {}) },
  { name: 'inside', render: () => shown('ready', { dissolved: inside, equilibriumVolumes: 2.41 }) },
  { name: 'going past it', render: () => shown('act', { dissolved: inside, equilibriumVolumes: 2.89, act: true }) },
  {
    name: 'on its way',
    render: () => shown('wait', { dissolved: { volumes: 2.05, low: 1.9, high: 2.2 }, equilibriumVolumes: 2.51 }),
  },
  {
    name: 'first day, hardly known',
    render: () => shown('wait', { dissolved: { volumes: 1.15, low: 0.8, high: 1.6 }, equilibriumVolumes: 2.41 }),
  },
  {
    name: 'far past it',
    render: () =>
      shown('act', { dissolved: { volumes: 3.4, low: 3.2, high: 3.6 }, equilibriumVolumes: 2.41, act: true }),
  },
  {
    name: 'about the whole window',
    render: () => shown('wait', { dissolved: { volumes: 2.5, low: 2.1, high: 2.9 }, equilibriumVolumes: 2.51 }),
  },
  { name: 'old', render: () => shown('unknown', { dissolved: inside, equilibriumVolumes: 2.41, old: true }) },
];
