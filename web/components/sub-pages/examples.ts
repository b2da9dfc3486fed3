import { h } from 'preact';
import { RULES_PATH } from '../../store/routes.ts';
import type { Example } from '../example.ts';
import { ALERT_PAGES } from './of-alerts.ts';
import { SubPages } from './sub-pages.tsx';

export const examples: readonly Example[] = [
  { name: 'of alerts', render: () => h(SubPages, { label: 'About alerts', here: RULES_PATH, pages: ALERT_PAGES }) },
];
