import { h } from 'preact';
import type { Example } from '../example.ts';
import { sampleProbe } from '../probe-list/sample-probe.ts';
import { AvailabilityForm } from './availability-form.tsx';

const shown = (change: Parameters<typeof sampleProbe>[0]) =>
  h(AvailabilityForm, { probe: sampleProbe(change), onPlace: () => Promise.resolve(null) });

export const examples: readonly Example[] = [
  { name: 'says so nowhere', render: () => shown({}) },
  {
    name: 'words of its own, understood',
    render: () =>
      shown({ availability: { topic: 'garage/shelf-7/status', online: null, offline: 'gone' }, device: 'offline' }),
  },
  {
    name: 'heard nothing of yet',
    render: () => shown({ availability: { topic: 'garage/shelf-7/status', online: null, offline: null } }),
  },
];
