import type { Level } from '../domain/delivery/matter.ts';
import { isAtLeast, type Part } from '../domain/delivery/matter.ts';
import type { LaneSpec } from '../domain/delivery/people.ts';
import { ENGLISH } from '../domain/delivery/phrases.ts';
import { messageWords } from '../domain/delivery/words.ts';
import type { SpokenUnits } from '../domain/words.ts';
import type { OutgoingMessage } from '../ports/channel.ts';
import type { KeptMatter } from '../ports/outbox-journal.ts';
import { timeWords } from './local-time.ts';

/** What holds where a person did not choose. */
export interface SiteWords {
  readonly timeZone: string;
  readonly units: SpokenUnits;
  /** Address of the dashboard as people reach it, without a slash at its end; null: unknown. */
  readonly link: string | null;
  /** Where a person acknowledges an episode of the alert desk; null: unknown. */
  readonly acknowledgeLink: (episodeId: string, personId: string) => string | null;
}

/** The message of some parts, in the words of whoever gets it. */
export function writeMessage(
  told: readonly { readonly part: Part; readonly story: KeptMatter }[],
  lane: LaneSpec,
  site: SiteWords,
  { id, atMs }: { id: string; atMs: number },
): OutgoingMessage {
  const timeZone = lane.person?.timeZone ?? site.timeZone;
  const kegIds = new Set(told.map(({ story }) => story.latest.kegId));
  const [kegId = null] = kegIds.size === 1 ? kegIds : [];
  const link = linkTo(site.link, told.length === 1 ? kegId : null);
  const acknowledgeLinks = linksToAcknowledge(told, lane, site);
  const [acknowledgeLink] = told.length === 1 ? acknowledgeLinks.values() : [];
  const words = messageWords(told, {
    units: lane.person?.units ?? site.units,
    writtenIn: site.units,
    timeWords: (momentMs) => timeWords(momentMs, atMs, timeZone),
    link,
    acknowledgeLink: (matterId) => acknowledgeLinks.get(matterId) ?? null,
    phrases: ENGLISH,
  });
  const [first] = told;
  return {
    ...words,
    id,
    atMs,
    what: told.length === 1 && first !== undefined ? first.part.turn : 'digest',
    level: highest(told.map(({ story }) => story.latest.level)),
    link,
    ...(acknowledgeLink === undefined ? {} : { acknowledgeLink }),
    kegId,
    episodes: told.map(({ story }) => story.wire),
  };
}

export function testMessage(
  name: string,
  site: SiteWords,
  { id, atMs }: { id: string; atMs: number },
): OutgoingMessage {
  const text = ENGLISH.test(name);
  return {
    id,
    atMs,
    what: 'test',
    level: 'news',
    subject: ENGLISH.testSubject,
    text,
    details: `${text}\n${ENGLISH.testAdvice}`,
    link: linkTo(site.link, null),
    kegId: null,
    episodes: [],
  };
}

/** For what a person could still acknowledge. Programs have keys of their own. */
function linksToAcknowledge(
  told: readonly { readonly part: Part; readonly story: KeptMatter }[],
  { person }: LaneSpec,
  { acknowledgeLink }: SiteWords,
): ReadonlyMap<string, string> {
  const links = new Map<string, string>();
  for (const { part, story } of person === null ? [] : told) {
    const { id, ownedBy, endedAtMs, acknowledgedAtMs } = story.latest;
    const isOpen = ownedBy === 'desk' && endedAtMs === null && acknowledgedAtMs === null;
    const link = isOpen && part.turn !== 'end' ? acknowledgeLink(id, person?.personId ?? '') : null;
    if (link !== null) links.set(id, link);
  }
  return links;
}

function linkTo(base: string | null, kegId: string | null): string | null {
  if (base === null) return null;
  return kegId === null ? `${base}/alerts` : `${base}/kegs/${kegId}`;
}

export function highest(levels: readonly Level[]): Level {
  return levels.reduce<Level>((high, level) => (isAtLeast(level, high) ? level : high), 'news');
}
