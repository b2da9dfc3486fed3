import { h } from 'preact';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { Age, Value } from './age.tsx';

const heard = (agoMs: number) => ({
  at: new Date(deviceNowMs() - agoMs).toISOString(),
  freshForMs: 120_000,
  lateForMs: 480_000,
});

const shown = (agoMs: number) => {
  const input = heard(agoMs);
  return h('p', null, h(Value, { text: '1.4 °C', input }), ', ', h(Age, { input }));
};

export const examples: readonly Example[] = [
  { name: 'fresh', render: () => shown(12_000) },
  { name: 'late', render: () => shown(200_000) },
  { name: 'stale', render: () => shown(3_600_000) },
  {
    name: 'offline',
    render: () => {
      const since = new Date(deviceNowMs() - 1_200_000).toISOString();
      const input = { ...heard(12_000), amiss: { kind: 'offline' as const, since } };
      return h('p', null, h(Value, { text: '1.4 °C', input }), ', ', h(Age, { input }));
    },
  },
  { name: 'never heard', render: () => h('p', null, h(Age, { input: null })) },
];
