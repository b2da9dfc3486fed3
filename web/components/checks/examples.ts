import { h } from 'preact';
import type { KegState } from '../../../src/contract/state.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { gasCheckPathOf } from '../../store/routes.ts';
import type { Example } from '../example.ts';
import { FIRST_DAY_KEG } from '../sample-estimates.ts';
import { ACT_KEG, READY_KEG } from '../sample-states.ts';
import { Checks } from './checks.tsx';

const shown = (keg: KegState, old = false) =>
  h(Checks, {
    checks: keg.verdict.checks,
    inputs: keg.inputs,
    units: DEFAULT_UNITS,
    old,
    gasCheckPath: gasCheckPathOf(keg.kegId),
    basis: { keg, co2Ratio: 1 },
  });

export const examples: readonly Example[] = [
  { name: 'some need someone', render: () => shown(ACT_KEG) },
  { name: 'ready', render: () => shown(READY_KEG) },
  { name: 'first day', render: () => shown(FIRST_DAY_KEG) },
  { name: 'old', render: () => shown(ACT_KEG, true) },
];
