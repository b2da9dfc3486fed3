/** Where a device says whether it is there, usually by a retained message and its last will. */
export interface AvailabilityTopic {
  readonly topic: string;
  /** Payloads that say so; null: the usual words. */
  readonly online: string | null;
  readonly offline: string | null;
}

export type Availability = 'online' | 'offline';

/** What devices usually say, in any case of letters. Common practice, no source. */
const USUAL: Readonly<Record<Availability, readonly string[]>> = {
  online: ['online', 'true'],
  offline: ['offline', 'false'],
};

/** What a payload says; null if it is neither of the two words. White space around it does not count. */
export function readAvailability(payload: string, { online, offline }: AvailabilityTopic): Availability | null {
  const said = payload.trim();
  const means = (which: Availability, own: string | null) =>
    own === null ? USUAL[which].includes(said.toLowerCase()) : said === own;
  if (means('offline', offline)) return 'offline';
  return means('online', online) ? 'online' : null;
}
