import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { FillBottles } from './fill-bottles.tsx';
import { sampleFilled } from './sample-fill.ts';

const common = { units: DEFAULT_UNITS, zone: 'UTC', onChange: () => Promise.resolve(null) };
const bare = { conditions: null, destinationText: null, tasting: null } as const;
const nothingHeard = { at: '', beerTemperatureC: null, headspaceKpaGauge: null, dissolved: null, verdict: null };

export const examples: readonly Example[] = [
  {
    name: 'seven',
    render: () => h(FillBottles, { bottles: sampleFilled(7), nowMs: deviceNowMs(), ...common }),
  },
  {
    name: 'little known',
    render: () =>
      h(FillBottles, {
        bottles: [
          ...sampleFilled(1).map((bottle) => ({ ...bottle, ...bare })),
          ...sampleFilled(2)
            .slice(1)
            .map((bottle) => ({ ...bottle, ...bare, conditions: nothingHeard })),
        ],
        nowMs: deviceNowMs(),
        ...common,
      }),
  },
];
