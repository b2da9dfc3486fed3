import { h } from 'preact';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { IN_CHECK_KEG } from '../sample-estimates.ts';
import { ACT_KEG, READY_KEG, UNFILLED_KEG, UNKNOWN_KEG, WAIT_KEG } from '../sample-states.ts';
import { KegHead } from './keg-head.tsx';

export const examples: readonly Example[] = [
  ...[ACT_KEG, UNKNOWN_KEG, WAIT_KEG, READY_KEG].map((keg) => ({
    name: keg.verdict.kind,
    render: () => h(KegHead, { keg, oldSinceMs: null }),
  })),
  { name: 'while a gas check runs', render: () => h(KegHead, { keg: IN_CHECK_KEG, oldSinceMs: null }) },
  { name: 'nothing said of the beer', render: () => h(KegHead, { keg: UNFILLED_KEG, oldSinceMs: null }) },
  { name: 'old', render: () => h(KegHead, { keg: READY_KEG, oldSinceMs: deviceNowMs() - 1_700_000 }) },
];
