import { ALERT_HEALTH_PATH, RULES_PATH, TELLING_PATH } from '../../store/routes.ts';

/** Pages about alerts. */
export const ALERT_PAGES = [
  ['/alerts', 'Open and over'],
  [RULES_PATH, 'Rules'],
  [ALERT_HEALTH_PATH, 'How they do'],
  [TELLING_PATH, 'Who is told, and how'],
] as const;

/** Pages of settings. */
export const SETTINGS_PAGES = [
  ['/settings', 'Fridge and screen'],
  [TELLING_PATH, 'Who is told, and how'],
  [RULES_PATH, 'Rules of alerts'],
] as const;
