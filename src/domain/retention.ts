import type { Batch, Keg } from './catalogue.ts';
import type { Subject } from './topic.ts';

const DAY_MS = 24 * 3600_000;
/** An estimate looks this far back from the filling (ms): where a cooling beer came from, what is usual. */
const BEFORE_BATCH_MS = 4 * DAY_MS;

/**
 * Before this time nobody needs a probe's readings one by one any more (ms): `rawDays` days ago, or the beginning of the
 * first batch of its keg, or of the kegs of its place or supply, that is not over for so long.
 */
export function retireBeforeMs(
  subject: Subject,
  kegs: readonly Keg[],
  batches: readonly Batch[],
  rawDays: number,
  nowMs: number,
): number {
  const agoMs = nowMs - rawDays * DAY_MS;
  const bears = kegsOf(subject, kegs);
  const needed = batches.filter(({ kegId, endedAtMs }) => bears(kegId) && (endedAtMs === null || endedAtMs > agoMs));
  return needed.reduce((before, { beganAtMs }) => Math.min(before, beganAtMs - BEFORE_BATCH_MS), agoMs);
}

/** Which kegs a probe tells something of. A keg that was deleted may have stood anywhere. */
function kegsOf(subject: Subject, kegs: readonly Keg[]): (kegId: string) => boolean {
  const known = new Map(kegs.map((keg) => [keg.kegId, keg]));
  switch (subject.kind) {
    case 'keg':
      return (kegId) => kegId === subject.id;
    case 'place':
      return (kegId) => (known.get(kegId)?.placeId ?? subject.id) === subject.id;
    case 'supply':
      return (kegId) => (known.get(kegId)?.supplyId ?? subject.id) === subject.id;
    case 'site':
      return () => true;
  }
}
