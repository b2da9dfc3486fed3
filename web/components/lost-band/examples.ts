import { h } from 'preact';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { LostBand } from './lost-band.tsx';

export const examples: readonly Example[] = [
  { name: 'lost', render: () => h(LostBand, { sinceMs: deviceNowMs() - 29 * 60_000, otherVersion: false }) },
  { name: 'never heard', render: () => h(LostBand, { sinceMs: null, otherVersion: false }) },
  { name: 'other version', render: () => h(LostBand, { sinceMs: null, otherVersion: true }) },
];
