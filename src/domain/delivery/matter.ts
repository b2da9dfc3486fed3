/** How much a matter presses. The last one passes quiet hours, limits and mutes. */
export type Level = 'news' | 'attention' | 'urgent';

const RANK: Readonly<Record<Level, number>> = { news: 0, attention: 1, urgent: 2 };

export function isAtLeast(level: Level, least: Level): boolean {
  return RANK[level] >= RANK[least];
}

/** An occurrence as those who deliver see it: one begin, later one end. */
export interface Matter {
  readonly id: string;
  /** Who says when it is over: the alert desk, or the outbox, whose matters are the channels. */
  readonly ownedBy: 'desk' | 'outbox';
  readonly kegId: string | null;
  readonly level: Level;
  readonly message: string;
  readonly advice: string;
  readonly measured: number | null;
  readonly limit: number | null;
  /** UCUM code of `measured` and `limit`. */
  readonly unit: string | null;
  readonly beganAtMs: number;
  readonly endedAtMs: number | null;
  readonly acknowledgedAtMs: number | null;
  readonly mutedUntilMs: number | null;
  /** Counts its changes, so that a program is told each state of it once. */
  readonly version: number;
}

/** A matter as it began, and as it is now: the words of its begin are told even if it is over by then. */
export interface MatterStory {
  readonly begin: Matter;
  readonly latest: Matter;
}

/** What a message says of one matter. `both`: it was over before its begin got out. */
export type Turn = 'begin' | 'change' | 'end' | 'both';

export interface Part {
  readonly matterId: string;
  readonly turn: Turn;
  /** Of the matter, as it is told. */
  readonly version: number;
}

/** Tells messages with the same content apart from others. */
export function partsKey(parts: readonly Part[]): string {
  return parts
    .map(({ matterId, turn, version }) => `${turn}${turn === 'change' ? version : ''} ${matterId}`)
    .join('\n');
}
