import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { driftsOf, shortage } from './drift.ts';
import { FillWatch } from './fill-watch.tsx';

const begin = { beerC: 0.6, kpaGauge: 69 };
const units = DEFAULT_UNITS;
const now = (beerTemperatureC: number, headspaceKpaGauge: number) =>
  driftsOf(begin, { beerTemperatureC, headspaceKpaGauge }, units);

export const examples: readonly Example[] = [
  { name: 'nothing', render: () => h(FillWatch, { drifts: [] }) },
  { name: 'warming and sagging', render: () => h(FillWatch, { drifts: now(2.4, 52) }) },
  { name: 'creeping', render: () => h(FillWatch, { drifts: now(0.7, 80) }) },
  { name: 'short', render: () => h(FillWatch, { drifts: [shortage(2, 4, units)].filter((one) => one !== null) }) },
];
