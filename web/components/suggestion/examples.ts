import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { SUGGESTED_KEG } from '../sample-states.ts';
import { Suggestion } from './suggestion.tsx';

export const examples: readonly Example[] = [
  {
    name: 'heard, not added',
    render: () =>
      h(
        'ul',
        { class: 'suggestions' },
        h(Suggestion, { keg: SUGGESTED_KEG, units: DEFAULT_UNITS, old: false, onAdd: () => Promise.resolve(null) }),
      ),
  },
];
