import { h } from 'preact';
import type { Person } from '../../../src/contract/channel.ts';
import { SAMPLE_CHANNELS, SAMPLE_PERSON } from '../channel-row/sample-channels.ts';
import type { Example } from '../example.ts';
import { PersonForm } from './person-form.tsx';
import { PersonRow } from './person-row.tsx';

const none = () => Promise.resolve(null);
const form = (person: Person | null, channels = SAMPLE_CHANNELS) =>
  h(PersonForm, { person, channels, zones: ['Europe/Vienna'], onKeep: none, onDone: () => undefined });
const row = (person: Person) =>
  h(PersonRow, {
    person,
    channels: SAMPLE_CHANNELS,
    zones: [],
    onKeep: none,
    onRemove: none,
    onRemoveBrowser: none,
  });

export const examples: readonly Example[] = [
  { name: 'new, without channels', render: () => form(null, []) },
  {
    name: 'with ways and units',
    render: () =>
      form({ ...SAMPLE_PERSON, units: { temperature: '[degF]', pressure: '[psi]', carbonation: 'volumes' } }),
  },
  { name: 'in the list', render: () => h('ul', { class: 'rows' }, row(SAMPLE_PERSON)) },
  {
    name: 'out of reach',
    render: () => h('ul', { class: 'rows' }, row({ ...SAMPLE_PERSON, reachable: false, ways: [], browsers: [] })),
  },
];
