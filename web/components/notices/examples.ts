import { h } from 'preact';
import type { Notice } from '../../../src/contract/state.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Answer } from '../../store/api.ts';
import type { Example } from '../example.ts';
import { LEAK_NOTICE, SHUT_NOTICE } from '../sample-estimates.ts';
import { Notices } from './notices.tsx';

const REFUSED: Answer<never> = { ok: false, trouble: { detail: 'This is an example.', errors: [] } };

const shown = (notices: readonly Notice[]) =>
  h(Notices, {
    notices,
    units: DEFAULT_UNITS,
    onEnter: () => Promise.resolve(REFUSED),
    onWithdraw: () => Promise.resolve(null),
  });

export const examples: readonly Example[] = [
  { name: 'to enter', render: () => shown([SHUT_NOTICE]) },
  { name: 'a leak, and more', render: () => shown([SHUT_NOTICE, LEAK_NOTICE]) },
  { name: 'nothing', render: () => shown([]) },
];
