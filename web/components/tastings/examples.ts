import { h } from 'preact';
import type { TastingList } from '../../../src/contract/fill.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { Tastings } from './tastings.tsx';

const at = (days: number): string => new Date(deviceNowMs() + days * 86_400_000).toISOString();
const one = (number: number, dueDays: number): TastingList['tastings'][0] => ({
  fillId: 'f1',
  bottleId: `b${number}`,
  number,
  kegId: 'right',
  batchName: number === 12 ? null : 'Slow Bicycle',
  filledAt: at(dueDays - 21),
  dueAt: at(dueDays),
  due: dueDays <= 0,
});

export const examples: readonly Example[] = [
  { name: 'nothing', render: () => h(Tastings, { tastings: [], zone: 'UTC', nowMs: deviceNowMs() }) },
  {
    name: 'two now, one later',
    render: () => h(Tastings, { tastings: [one(1, -2), one(12, -1), one(24, 9)], zone: 'UTC', nowMs: deviceNowMs() }),
  },
];
