import { h } from 'preact';
import type { AlertHealth } from '../../../src/contract/alert.ts';
import type { Example } from '../example.ts';
import { AlertHealthReport } from './alert-health.tsx';
import { QUIET_HEALTH, SAMPLE_HEALTH } from './sample-health.ts';

const shown = (health: AlertHealth) => h(AlertHealthReport, { health, titleOf: (rule) => rule });

export const examples: readonly Example[] = [
  { name: 'a month', render: () => shown(SAMPLE_HEALTH) },
  { name: 'nothing told', render: () => shown(QUIET_HEALTH) },
  {
    name: 'no heartbeat',
    render: () =>
      shown({
        ...QUIET_HEALTH,
        heartbeat: { state: 'failing', everyMin: 5, lastSentAt: null, trouble: 'a message did not reach the store' },
      }),
  },
];
