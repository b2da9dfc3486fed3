import { h } from 'preact';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { VerdictStrip } from './verdict-strip.tsx';
import type { SaidVerdict } from './words.ts';

const HOUR_MS = 3_600_000;
const nowMs = deviceNowMs();
const ago = (hours: number): number => nowMs - hours * HOUR_MS;

const shown = (verdicts: readonly SaidVerdict[]) =>
  h(VerdictStrip, {
    verdicts,
    span: { fromMs: ago(144), toMs: nowMs },
    silent: [{ fromMs: ago(90), toMs: ago(80) }],
    width: 350,
    zone: 'Europe/Vienna',
    nowMs,
  });

export const examples: readonly Example[] = [
  {
    name: 'all four verdicts',
    render: () =>
      shown([
        { atMs: ago(144), kind: 'unknown', headline: 'It takes the temperature of the beer to tell.' },
        { atMs: ago(100), kind: 'wait', headline: 'Time alone will do it: inside the window in 3 days.' },
        { atMs: ago(60), kind: 'ready', headline: 'Fill whenever you like.' },
        { atMs: ago(30), kind: 'act', headline: 'Turn the regulator to 63 kPa.' },
      ]),
  },
  { name: 'one verdict all the time', render: () => shown([{ atMs: ago(200), kind: 'ready', headline: 'Fill.' }]) },
];
