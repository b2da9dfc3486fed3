import type { VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';

const HOUR_MS = 3_600_000;

/** Has the keg been left alone for long enough? */
export function atRestCheck({ facts, limits, nowMs }: VerdictBasis): Check {
  const { rest } = facts;
  const common = {
    name: 'at-rest',
    wanted: limits.restHours,
    wantedLow: limits.restHours,
    wantedHigh: null,
    unit: 'h',
  } as const;
  if (rest === null) return { ...common, state: 'unknown', measured: null, advice: 'No filling is entered.' };
  const hours = Math.max(0, (nowMs - rest.sinceMs) / HOUR_MS);
  // Whole hours: time that goes by is no news.
  const measured = Math.floor(hours);
  if (hours >= limits.restHours) return { ...common, state: 'pass', measured, advice: '' };
  const left = Math.max(1, Math.ceil(limits.restHours - hours));
  const advice = `Leave the keg alone for ${left}\u00a0h more: it was ${rest.after}.`;
  return { ...common, state: 'wait', measured, advice };
}
