import { h } from 'preact';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { sampleProbe } from '../probe-list/sample-probe.ts';
import { PlaceTopic } from './place-topic.tsx';
import { RivalQuestion } from './rival-question.tsx';

const shown = (sample: string | null, topic = 'garage/shelf-7/temp', messages = 412) =>
  h(PlaceTopic, {
    heard:
      sample === null
        ? null
        : {
            topic,
            sample,
            lastHeardAt: new Date(deviceNowMs() - 8000).toISOString(),
            messages,
          },
    subjects: { keg: [['left', 'Left keg']], place: [['place/fridge', 'Garage fridge']], gas: [['gas/gas', 'Gas']] },
    probes: [],
    onPlace: () => Promise.resolve(null),
  });

const RIVAL = sampleProbe();

export const examples: readonly Example[] = [
  { name: 'a bare number', render: () => shown('4.3') },
  { name: 'a keg in the topic', render: () => shown('4.3', 'cellar/left/beer-temp', 1) },
  { name: 'not listed', render: () => shown(null) },
  {
    name: 'another measures it already',
    render: () =>
      h(RivalQuestion, { name: 'Left keg', rivals: [RIVAL], busy: false, onChoose: () => {}, onLeave: () => {} }),
  },
  { name: 'JSON', render: () => shown('{"t":4.3,"bat":81}') },
];
