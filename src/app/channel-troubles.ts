import { BROKER_CHANNEL } from '../domain/delivery/channel.ts';
import type { Matter } from '../domain/delivery/matter.ts';
import { ENGLISH } from '../domain/delivery/phrases.ts';
import type { LaneRecord } from '../ports/outbox-journal.ts';
import type { OutboxBook } from './outbox-book.ts';
import { instant, instantOrNull } from './present.ts';

/** A channel that fails for so long is reported; most outages are over sooner. */
const REPORT_AFTER_MS = 15 * 60_000;
const RULE = 'channel-failing';

/** Whether a lane does not deliver: for a while, or so that messages were lost. */
export function isFailing(record: LaneRecord, nowMs: number): boolean {
  if (record.isGone || record.lostSinceSuccess > 0) return true;
  return record.failingSinceMs !== null && record.attempts >= 2 && nowMs - record.failingSinceMs >= REPORT_AFTER_MS;
}

/** Tells by the other channels that one fails, once, and that it works again. */
export function watchChannels(
  book: OutboxBook,
  nowMs: number,
  tell: (matter: Omit<Matter, 'version'>, wire: object, notByChannelId: string) => void,
): void {
  for (const { channelId, name } of [BROKER_CHANNEL, ...book.channels.values()]) {
    const records = book.lanes().flatMap((lane) => (lane.channelId === channelId ? book.record(lane.laneId) : []));
    const failing = records.find((record) => isFailing(record, nowMs));
    const open = openTrouble(book, channelId);
    if (failing !== undefined && open === null) {
      const matter = {
        ...aTrouble(channelId, nowMs),
        message: ENGLISH.channelFails(name, failing.lastAnswer ?? ''),
        advice: ENGLISH.channelFailsAdvice,
      };
      tell(matter, wireOf(matter, channelId), channelId);
    }
    // One that fails but does not yet count as failing is not well either.
    const isWell = records.every(
      ({ attempts, isGone, lostSinceSuccess }) => attempts === 0 && !isGone && lostSinceSuccess === 0,
    );
    if (isWell && open !== null) {
      const matter = { ...open, message: ENGLISH.channelWorks(name), advice: '', endedAtMs: nowMs };
      tell(matter, wireOf(matter, channelId), channelId);
    }
  }
  // A channel that was removed troubles nobody any more.
  for (const { latest } of book.matters.values()) {
    const [rule, channelId = ''] = latest.id.split('.');
    if (rule !== RULE || latest.endedAtMs !== null || channelId === BROKER_CHANNEL.channelId) continue;
    if (book.channels.has(channelId)) continue;
    const matter = { ...latest, advice: '', endedAtMs: nowMs };
    tell(matter, wireOf(matter, channelId), channelId);
  }
}

function openTrouble(book: OutboxBook, channelId: string): Matter | null {
  const prefix = `${RULE}.${channelId}.`;
  const open = book.matters.values().find(({ latest }) => latest.id.startsWith(prefix) && latest.endedAtMs === null);
  return open?.latest ?? null;
}

function aTrouble(channelId: string, nowMs: number) {
  return {
    id: `${RULE}.${channelId}.${nowMs}`,
    ownedBy: 'outbox',
    kegId: null,
    level: 'attention',
    measured: null,
    limit: null,
    unit: null,
    beganAtMs: nowMs,
    endedAtMs: null,
    acknowledgedAtMs: null,
    mutedUntilMs: null,
  } as const;
}

/** In the form in which programs get episodes. */
function wireOf(matter: Omit<Matter, 'version'>, channelId: string): object {
  const { id, kegId, level, measured, limit, unit, message, advice, beganAtMs, endedAtMs } = matter;
  return {
    id,
    rule: RULE,
    kegId,
    target: channelId,
    state: endedAtMs === null ? 'active' : 'ended',
    level,
    beganAt: instant(beganAtMs),
    endedAt: instantOrNull(endedAtMs),
    unverified: false,
    acknowledgedAt: null,
    mutedUntil: null,
    measured,
    limit,
    unit,
    message,
    advice,
  };
}
