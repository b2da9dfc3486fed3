import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { ACT_KEG, sampleKeg, withVerdict } from '../sample-states.ts';
import { FillStrip } from './fill-strip.tsx';

const ready = withVerdict(
  sampleKeg({ beerTemperatureC: 0.6, headspaceKpaGauge: 63, dissolved: { volumes: 2.47, low: 2.41, high: 2.53 } }),
  'ready',
  'Fill whenever you like.',
);
const common = { units: DEFAULT_UNITS, oldSinceMs: null, leftL: 8.5, usedGrams: 12 };

export const examples: readonly Example[] = [
  { name: 'ready', render: () => h(FillStrip, { keg: ready, ...common }) },
  { name: 'needs you', render: () => h(FillStrip, { keg: ACT_KEG, ...common, usedGrams: null }) },
  {
    name: 'nothing heard for long',
    render: () => h(FillStrip, { keg: ready, ...common, leftL: null, oldSinceMs: deviceNowMs() - 600_000 }),
  },
];
