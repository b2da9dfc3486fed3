import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { CarbonationMap } from './carbonation-map.tsx';
import type { TrailPoint } from './geometry.ts';
import type { MapProps } from './map-props.ts';

const HOUR_MS = 3_600_000;
const nowMs = deviceNowMs();
const trail: readonly TrailPoint[] = Array.from({ length: 120 }, (_, index) => ({
  atMs: nowMs - (120 - index) * HOUR_MS,
  celsius: index > 60 && index < 64 ? null : 1.6 + 5 * Math.exp(-index / 24),
  kpaGauge: index < 80 ? 69 : 62 + (index - 80) * 0.6,
}));

const base: MapProps = {
  units: DEFAULT_UNITS,
  beerName: 'Slow Bicycle',
  ambientKpaAbsolute: 100.8,
  co2Ratio: 1,
  target: { volumes: 2.45, low: 2.3, high: 2.6, celsius: 2 },
  abvPercent: 5.2,
  advisedKpaGauge: 63,
  now: { celsius: 1.6, kpaGauge: 86 },
  trail,
  closed: [{ fromMs: nowMs - 4 * HOUR_MS, toMs: nowMs }],
  midnights: [60, 36, 12].map((hours) => ({ atMs: nowMs - hours * HOUR_MS, label: `−${hours} h` })),
  gasWord: 'gas closed',
  ambientFrom: 'site-altitude',
  act: true,
  old: false,
};

export const examples: readonly Example[] = [
  { name: 'turn the regulator', render: () => h(CarbonationMap, base) },
  {
    name: 'nobody is needed',
    render: () => h(CarbonationMap, { ...base, now: { celsius: 1.6, kpaGauge: 63 }, act: false }),
  },
  {
    name: 'warm and flat',
    render: () =>
      h(CarbonationMap, { ...base, now: { celsius: 18, kpaGauge: 2 }, act: false, trail: [], abvPercent: null }),
  },
  {
    name: 'to be chilled',
    render: () => h(CarbonationMap, { ...base, now: { celsius: 6, kpaGauge: 70 }, act: false, trail: [] }),
  },
  { name: 'nothing heard', render: () => h(CarbonationMap, { ...base, now: null, trail: [] }) },
  { name: 'old', render: () => h(CarbonationMap, { ...base, old: true }) },
];
