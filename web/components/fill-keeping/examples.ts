import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { FillKeeping } from './fill-keeping.tsx';
import { SAMPLE_AFTERWARDS } from './sample-afterwards.ts';

const common = { units: DEFAULT_UNITS, zone: 'UTC' };

export const examples: readonly Example[] = [
  { name: 'all known', render: () => h(FillKeeping, { told: SAMPLE_AFTERWARDS, ...common }) },
  {
    name: 'nothing known of the beer',
    render: () =>
      h(FillKeeping, {
        told: { ...SAMPLE_AFTERWARDS, drinkBy: null, inBottle: null, pressures: [], conditioning: null },
        ...common,
      }),
  },
  {
    name: 'no sugar needed',
    render: () =>
      h(FillKeeping, {
        told: {
          ...SAMPLE_AFTERWARDS,
          conditioning: { wishedVolumes: 2.2, sugar: 'sucrose', gramsPerL: 0, roomKpaGauge: 160 },
        },
        ...common,
      }),
  },
];
