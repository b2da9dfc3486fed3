import { h } from 'preact';
import type { Example } from '../example.ts';
import { Choice } from './choice.tsx';

export const examples: readonly Example[] = [
  {
    name: 'three',
    render: () =>
      h(Choice<'auto' | 'light' | 'dark'>, {
        label: 'Light or dark',
        value: 'dark',
        choices: [
          ['auto', 'As the device'],
          ['light', 'Light'],
          ['dark', 'Dark'],
        ],
        onChoose: () => {},
      }),
  },
];
