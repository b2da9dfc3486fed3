import type { Site } from '../../src/contract/catalogue.ts';
import type { Memory } from './reduce.ts';
import type { View } from './view.ts';

/** Keys carry the protocol's number: a page of another version does not read what it would misread. */
const VIEW_KEY = 'quietkeg-view-1';
const SITE_KEY = 'quietkeg-site-1';

/** What was known at the last visit, so that something readable shows while the service is not reached. */
export const recallView = (): Memory | null => read<Memory>(VIEW_KEY);
export const recallSite = (): Site | null => read<Site>(SITE_KEY);

export function keepView(view: View): void {
  if (!view.known || view.heardAtMs === null) return;
  const open = view.alerts.filter((alert) => alert.state !== 'ended');
  const memory: Memory = {
    kegs: view.kegs,
    alerts: open,
    heardAtMs: view.heardAtMs,
    clockAheadMs: view.clockAheadMs,
  };
  write(VIEW_KEY, memory);
}

export const keepSite = (site: Site): void => write(SITE_KEY, site);

/** Forgets the last visit: its reader is out. */
export function forgetAll(): void {
  try {
    for (const key of [VIEW_KEY, SITE_KEY]) localStorage.removeItem(key);
  } catch {
    // Nothing was kept, so nothing needs forgetting.
  }
}

function read<T>(key: string): T | null {
  try {
    const text = localStorage.getItem(key);
    return text === null ? null : JSON.parse(text);
  } catch {
    return null;
  }
}

function write(key: string, value: unknown): void {
  try {
    localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // Storage full or forbidden: the page only loses its memory of the last visit.
  }
}
