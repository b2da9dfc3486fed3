import type { KegState, VerdictKind } from '../../src/contract/state.ts';

const RANK: Readonly<Record<VerdictKind, number>> = { act: 0, unknown: 1, wait: 2, ready: 3 };
const byName = new Intl.Collator('en', { numeric: true, sensitivity: 'base' });

/**
 * Kegs as the page lists them: those that need someone first, then those that cannot be told, then by their place in
 * the fridge. When all is well they keep the order of the fridge, so that nothing on a wall tablet changes seats.
 */
export function orderKegs(kegs: readonly KegState[], placeIds: readonly string[]): KegState[] {
  const inPlace = [...kegs].sort((a, b) => comparePlaces(a, b, placeIds));
  if (kegs.every((keg) => keg.verdict.kind === 'ready' || keg.verdict.kind === 'wait')) return inPlace;
  return inPlace.sort((a, b) => RANK[a.verdict.kind] - RANK[b.verdict.kind]);
}

function comparePlaces(a: KegState, b: KegState, placeIds: readonly string[]): number {
  const place = seat(placeIds, a.placeId) - seat(placeIds, b.placeId);
  if (place !== 0) return place;
  return byName.compare(a.name, b.name) || byName.compare(a.kegId, b.kegId);
}

function seat(placeIds: readonly string[], placeId: string): number {
  const index = placeIds.indexOf(placeId);
  return index < 0 ? placeIds.length : index;
}
