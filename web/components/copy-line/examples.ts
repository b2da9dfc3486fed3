import { h } from 'preact';
import type { Example } from '../example.ts';
import { CopyLine } from './copy-line.tsx';

export const examples: readonly Example[] = [
  {
    name: 'a command',
    render: () => h(CopyLine, { text: 'mosquitto_pub -t probes/one/beer-temperature -m 4.2', label: 'the command' }),
  },
];
