import { h } from 'preact';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { sampleFill } from '../fill-bottles/sample-fill.ts';
import { FillRows } from './fill-list.tsx';

export const examples: readonly Example[] = [
  {
    name: 'one that goes on and one that is over',
    render: () =>
      h(FillRows, {
        fills: [sampleFill({ fillId: 'f2', endedAt: null, bottleCount: 1 }), sampleFill()],
        zone: 'UTC',
        nowMs: deviceNowMs(),
      }),
  },
];
