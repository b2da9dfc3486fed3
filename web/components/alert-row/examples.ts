import { h } from 'preact';
import type { Episode } from '../../../src/contract/alert.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { SAMPLE_ALERT, SILENT_ALERT } from '../sample-states.ts';
import { AlertRow } from './alert-row.tsx';
import { MuteForm } from './mute-form.tsx';

const none = () => Promise.resolve(null);
const shown = (episode: Episode) =>
  h('ul', { class: 'rows' }, h(AlertRow, { episode, onAcknowledge: none, onMute: none, onUnmute: none }));
const at = (ms: number): string => new Date(deviceNowMs() + ms).toISOString();

export const examples: readonly Example[] = [
  { name: 'news', render: () => shown(SAMPLE_ALERT) },
  { name: 'silent probe', render: () => shown(SILENT_ALERT) },
  {
    name: 'needs someone',
    render: () => shown({ ...SAMPLE_ALERT, level: 'urgent', message: 'Close the gas of Slow Bicycle' }),
  },
  {
    name: 'somebody is on it, and quiet',
    render: () =>
      shown({
        ...SILENT_ALERT,
        acknowledgedAt: at(-60_000),
        mutedUntil: at(3_600_000),
        unverified: true,
        state: 'clearing',
      }),
  },
  {
    name: 'comes and goes, quiet for a reason',
    render: () =>
      shown({ ...SILENT_ALERT, unsteady: true, mutedUntil: at(3_600_000), mutedBecause: 'A new battery is ordered.' }),
  },
  {
    name: 'is to be quiet',
    render: () => h(MuteForm, { message: SILENT_ALERT.message, urgent: false, onMute: none, onClose: () => undefined }),
  },
  {
    name: 'is to be quiet, but urgent',
    render: () => h(MuteForm, { message: 'Beer near freezing', urgent: true, onMute: none, onClose: () => undefined }),
  },
  { name: 'over', render: () => shown({ ...SILENT_ALERT, state: 'ended', endedAt: at(-600_000) }) },
];
