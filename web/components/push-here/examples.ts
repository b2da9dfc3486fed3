import { h } from 'preact';
import type { PushAbility } from '../../store/push.ts';
import { SAMPLE_PERSON } from '../channel-row/sample-channels.ts';
import type { Example } from '../example.ts';
import { PushHere } from './push-here.tsx';

const none = () => Promise.resolve(null);
const shown = (ability: PushAbility, more: Partial<Parameters<typeof PushHere>[0]> = {}) =>
  h(PushHere, {
    ability,
    toldPersonId: null,
    people: [SAMPLE_PERSON],
    hasChannel: true,
    onTell: none,
    onTellNoMore: none,
    ...more,
  });

export const examples: readonly Example[] = [
  { name: 'possible', render: () => shown('possible') },
  { name: 'told here', render: () => shown('possible', { toldPersonId: 'anna' }) },
  { name: 'nothing set up', render: () => shown('possible', { people: [], hasChannel: false }) },
  { name: 'a plain address', render: () => shown('insecure') },
  { name: 'no push', render: () => shown('unsupported') },
  { name: 'refused', render: () => shown('denied') },
];
