import { h } from 'preact';
import type { Example } from '../example.ts';
import { TopLine } from './top-line.tsx';

export const examples: readonly Example[] = [
  { name: 'now, nothing open', render: () => h(TopLine, { page: 'now', openAlerts: 0, urgent: false }) },
  { name: 'alerts, two open', render: () => h(TopLine, { page: 'alerts', openAlerts: 2, urgent: true }) },
];
