import { h } from 'preact';
import type { Example } from '../example.ts';
import { Sign } from './sign.tsx';
import { StateWord } from './state-word.tsx';

const KINDS = ['ready', 'wait', 'act', 'unknown'] as const;

export const examples: readonly Example[] = [
  ...KINDS.map((kind) => ({
    name: `word: ${kind}`,
    render: () => h('div', { class: `is-${kind}` }, h(StateWord, { kind })),
  })),
  ...KINDS.map((kind) => ({
    name: `sign of an alert that is over: ${kind}`,
    render: () => h('p', null, h(Sign, { kind, over: true }), ' over'),
  })),
];
