import { h } from 'preact';
import type { KegState } from '../../../src/contract/state.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { CHECKED_KEG, FIRST_DAY_KEG, IN_CHECK_KEG, OVER_KEG, PARTLY_KEG, SURE_KEG } from '../sample-estimates.ts';
import { InTheBeer } from './in-the-beer.tsx';

const shown = (keg: KegState, old = false) =>
  h(InTheBeer, { keg, units: DEFAULT_UNITS, oldSinceMs: old ? deviceNowMs() - 1_700_000 : null });

export const examples: readonly Example[] = [
  { name: 'first day', render: () => shown(FIRST_DAY_KEG) },
  { name: 'after a gas check', render: () => shown(CHECKED_KEG) },
  { name: 'partly in its window', render: () => shown(PARTLY_KEG) },
  { name: 'inside its window', render: () => shown(SURE_KEG) },
  { name: 'past its window', render: () => shown(OVER_KEG) },
  { name: 'while a gas check runs', render: () => shown(IN_CHECK_KEG) },
  { name: 'old', render: () => shown(PARTLY_KEG, true) },
  {
    name: 'in grams a litre',
    render: () => h(InTheBeer, { keg: PARTLY_KEG, units: { ...DEFAULT_UNITS, carbonation: 'g/L' }, oldSinceMs: null }),
  },
];
