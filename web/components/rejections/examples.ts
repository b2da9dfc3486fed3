import { h } from 'preact';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { Rejections } from './rejections.tsx';

export const examples: readonly Example[] = [
  { name: 'none', render: () => h(Rejections, { count: 0, rejections: [] }) },
  {
    name: 'some',
    render: () =>
      h(Rejections, {
        count: 3,
        rejections: [
          {
            topic: 'probes/left/beer-temperature',
            at: new Date(deviceNowMs() - 60_000).toISOString(),
            reason: '85 °C is what this thermometer says when it was just switched on',
            sample: '85.0',
          },
        ],
      }),
  },
];
