import { h } from 'preact';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { PlaceTopic } from './place-topic.tsx';

const shown = (sample: string | null) =>
  h(PlaceTopic, {
    heard:
      sample === null
        ? null
        : {
            topic: 'garage/shelf-7/temp',
            sample,
            lastHeardAt: new Date(deviceNowMs() - 8000).toISOString(),
            messages: 412,
          },
    subjects: { keg: [['left', 'Left keg']], place: [['place/fridge', 'Garage fridge']], gas: [['gas/gas', 'Gas']] },
    taken: new Set<string>(),
    onPlace: () => Promise.resolve(null),
  });

export const examples: readonly Example[] = [
  { name: 'a bare number', render: () => shown('4.3') },
  { name: 'not listed', render: () => shown(null) },
  { name: 'JSON', render: () => shown('{"t":4.3,"bat":81}') },
];
