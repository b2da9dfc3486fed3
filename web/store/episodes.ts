import type { Episode } from '../../src/contract/alert.ts';

export const isOpen = (episode: Pick<Episode, 'state'>): boolean =>
  episode.state === 'active' || episode.state === 'clearing';

/** Live episodes and those read from the API as one list: the live one of an id wins. Newest first. */
export function mergeEpisodes(live: readonly Episode[], read: readonly Episode[]): Episode[] {
  const byId = new Map([...read, ...live].map((episode) => [episode.id, episode]));
  return [...byId.values()].sort((a, b) => (a.beganAt < b.beganAt ? 1 : a.beganAt > b.beganAt ? -1 : 0));
}
