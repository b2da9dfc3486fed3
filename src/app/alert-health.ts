import type { Episode } from '../alerts/episode.ts';
import { isTold } from '../alerts/episode.ts';
import type * as contract from '../contract/index.ts';
import type { EpisodeJournal } from '../ports/journal.ts';
import type { AlertDesk } from './alert-desk.ts';
import { presentEpisode } from './present.ts';

const DAY_MS = 24 * 3600_000;
const DAYS = 30;
const STALE_MS = 7 * DAY_MS;
const NOISIEST = 10;

/** What the episodes say; who was told of them is for delivery to say. */
export type EpisodeHealth = Omit<contract.AlertHealth, 'people' | 'heartbeat'>;

/** How much was told in the last 30 days, and which open alerts want care. Days are those of the site. */
export function alertHealth(
  journal: Pick<EpisodeJournal, 'episodesSince'>,
  desk: AlertDesk,
  timeZone: string,
  nowMs: number,
): EpisodeHealth {
  const sinceMs = nowMs - DAYS * DAY_MS;
  const episodes = journal.episodesSince(sinceMs).filter(isTold);
  const begun = episodes.filter(({ state }) => state.beganAtMs >= sinceMs);
  const open = desk.told();
  const shown = (wanted: (episode: Episode) => boolean) => open.filter(wanted).map(presentEpisode);
  const rules = [...Map.groupBy(begun, ({ rule }) => rule)].map(([rule, same]) => ({ rule, begins: same.length }));
  return {
    days: daysOf(episodes, timeZone, sinceMs, nowMs),
    noisiest: rules.toSorted((a, b) => b.begins - a.begins).slice(0, NOISIEST),
    unsteady: shown(({ unsteady }) => unsteady),
    stale: shown(({ state }) => nowMs - state.beganAtMs > STALE_MS),
    unverified: shown(({ unverified }) => unverified),
    muted: shown(({ mutedUntilMs }) => (mutedUntilMs ?? 0) > nowMs),
    neverAcknowledged: shown(({ level, acknowledgedAtMs, state }) => {
      return level !== 'news' && acknowledgedAtMs === null && nowMs - state.beganAtMs > DAY_MS;
    }),
  };
}

function daysOf(
  episodes: readonly Episode[],
  timeZone: string,
  sinceMs: number,
  nowMs: number,
): contract.AlertHealth['days'] {
  // The Swedish form of a date is year-month-day.
  const format = new Intl.DateTimeFormat('sv-SE', { timeZone, dateStyle: 'short' });
  const days = new Map<string, { date: string; begins: number; ends: number; urgent: number }>();
  for (let atMs = sinceMs; atMs <= nowMs; atMs += DAY_MS / 2) {
    const date = format.format(atMs);
    if (!days.has(date)) days.set(date, { date, begins: 0, ends: 0, urgent: 0 });
  }
  for (const { state, level } of episodes) {
    const begin = days.get(format.format(state.beganAtMs));
    if (begin !== undefined) {
      begin.begins += 1;
      if (level === 'urgent') begin.urgent += 1;
    }
    const end = state.kind === 'ended' ? days.get(format.format(state.endedAtMs)) : undefined;
    if (end !== undefined) end.ends += 1;
  }
  return [...days.values()];
}
