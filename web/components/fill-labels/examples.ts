import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { sampleFill } from '../fill-bottles/sample-fill.ts';
import { FillLabels } from './fill-labels.tsx';

const common = { units: DEFAULT_UNITS, zone: 'UTC' };

export const examples: readonly Example[] = [
  {
    name: 'seven bottles',
    render: () => {
      const nowMs = deviceNowMs();
      const drinkBy = new Date(nowMs + 28 * 86_400_000).toISOString();
      return h(FillLabels, { fill: sampleFill(), drinkBy, abvPercent: 5.2, nowMs, ...common });
    },
  },
  {
    name: 'still going on, of a keg without a name',
    render: () =>
      h(FillLabels, {
        fill: sampleFill({ batchName: null, endedAt: null }),
        drinkBy: null,
        abvPercent: null,
        nowMs: deviceNowMs(),
        ...common,
      }),
  },
];
