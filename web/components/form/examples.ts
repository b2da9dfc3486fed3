import { h } from 'preact';
import type { Example } from '../example.ts';
import { NumberField, SelectField, TextField, Tick } from './field.tsx';
import { Trouble } from './trouble.tsx';

const ignore = (): void => {};

export const examples: readonly Example[] = [
  {
    name: 'fields',
    render: () =>
      h(
        'form',
        { class: 'fields' },
        h(TextField, { label: 'Name of the beer', value: 'Wet Tuesday', onValue: ignore }),
        h(NumberField, { label: 'Alcohol, % by volume', value: 'lots', onValue: ignore }),
        h(SelectField, {
          label: 'The beer is',
          value: 'flat',
          onValue: ignore,
          choices: [
            ['flat', 'flat'],
            ['carbonated', 'carbonated'],
          ],
        }),
        h(Tick, { checked: true, onChange: ignore, children: 'For every keg on this gas' }),
      ),
  },
  {
    name: 'trouble',
    render: () =>
      h(Trouble, {
        trouble: { detail: 'The window is too narrow.', errors: [{ pointer: '/tolerance', detail: 'at least 0.1' }] },
      }),
  },
];
