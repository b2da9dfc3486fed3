import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { ACT_KEG, READY_KEG } from '../sample-states.ts';
import { Checks } from './checks.tsx';

const shown = (keg: typeof ACT_KEG, old = false) =>
  h(Checks, { checks: keg.verdict.checks, inputs: keg.inputs, units: DEFAULT_UNITS, old });

export const examples: readonly Example[] = [
  { name: 'some need someone', render: () => shown(ACT_KEG) },
  { name: 'ready', render: () => shown(READY_KEG) },
  { name: 'old', render: () => shown(ACT_KEG, true) },
];
