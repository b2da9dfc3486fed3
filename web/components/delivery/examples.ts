import { h } from 'preact';
import type { Delivery } from '../../../src/contract/delivery.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { DeliveryReport } from './delivery-report.tsx';
import { IN_NEED, WELL } from './sample-reports.ts';

const shown = (report: Delivery) =>
  h(DeliveryReport, { report, probeName: (probeId) => probeId, zone: 'Europe/Vienna', nowMs: deviceNowMs() });

export const examples: readonly Example[] = [
  { name: 'all is well', render: () => shown(WELL) },
  { name: 'much is to be done', render: () => shown(IN_NEED) },
  {
    name: 'clock and broker in trouble',
    render: () =>
      shown({
        ...WELL,
        clock: 'the clock of this machine says 1970-01-01T00:02:10.000Z, which cannot be: set it',
        heldMessages: 31,
        broker: { ...IN_NEED.broker, trouble: 'the broker does not answer', audit: [] },
      }),
  },
];
