import type { DatabaseSync } from 'node:sqlite';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteOutboxJournal } from '../../src/adapters/sqlite/sqlite-outbox-journal.ts';
import { type Episode, newEpisode } from '../../src/alerts/episode.ts';
import { Outbox } from '../../src/app/outbox.ts';
import type { ChannelSetting } from '../../src/domain/delivery/channel.ts';
import type { Person } from '../../src/domain/delivery/people.ts';
import type { Channel, Delivery, OutgoingMessage, Recipient } from '../../src/ports/channel.ts';
import type { OutboxJournal } from '../../src/ports/outbox-journal.ts';
import { aSite, NOON, SECOND } from './builders.ts';
import { FakeClock } from './fake-clock.ts';
import { keptLog } from './kept-log.ts';
import { settle } from './until.ts';

export interface Sent {
  readonly channelId: string;
  readonly recipient: Recipient;
  readonly message: OutgoingMessage;
  readonly atMs: number;
  /** It was taken at once, whether or not we lived to note it. */
  readonly isTaken: boolean;
}

export const TAKEN: Delivery = { kind: 'taken', answer: '200 OK' };

export function aPerson(change: Partial<Person> = {}): Person {
  return {
    personId: 'anna',
    name: 'Anna',
    timeZone: 'UTC',
    units: null,
    quietHours: null,
    leastLevel: 'news',
    escalateAfterMs: null,
    ways: [{ channelId: 'mail', address: 'anna@club.example', step: 'first' }],
    ...change,
  };
}

/** A relay: of all channels the one with the least of its own. */
export function aChannel(channelId: string, change: Partial<ChannelSetting> = {}): ChannelSetting {
  const relay = { kind: 'relay', method: 'POST', url: 'http://127.0.0.1/x', headers: [], body: '' } as const;
  return { channelId, name: `The ${channelId}`, isProgram: false, ...relay, ...change } as ChannelSetting;
}

/** The outbox on a clock that stands still, with channels that answer as a test says. The journal is the real one. */
export class DeliveryWorld {
  readonly clock: FakeClock;
  readonly database: DatabaseSync;
  readonly log = keptLog();
  /** Every attempt, in order, over all restarts. */
  readonly sent: Sent[];
  /** What the alert desk journalled. */
  readonly episodes: Map<string, Episode>;
  /** What each channel answers; else everything is taken. */
  readonly answers: Map<string, (message: OutgoingMessage) => Delivery | Promise<Delivery>>;
  readonly outbox: Outbox;
  readonly #ids: { count: number };

  /** Where an episode is acknowledged by a person. */
  acknowledgeLink: (episodeId: string, personId: string) => string | null = () => null;

  constructor(before?: DeliveryWorld, journalOf = (journal: OutboxJournal) => journal) {
    this.clock = before?.clock ?? new FakeClock(NOON);
    this.database = before?.database ?? openCatalogueFile(':memory:');
    this.sent = before?.sent ?? [];
    this.episodes = before?.episodes ?? new Map();
    this.answers = before?.answers ?? new Map();
    this.#ids = before === undefined ? { count: 0 } : before.#ids;
    this.outbox = new Outbox({
      journal: journalOf(new SqliteOutboxJournal(this.database)),
      episodes: {
        openEpisodes: () => [...this.episodes.values()].filter(({ state }) => state.kind !== 'ended'),
        episode: (id) => this.episodes.get(id) ?? null,
      },
      clock: this.clock,
      log: this.log.log,
      newId: () => {
        this.#ids.count += 1;
        return `message-${this.#ids.count}`;
      },
      chance: () => 0.5,
      open: (setting) => this.#channel(setting),
      site: () => ({
        timeZone: 'UTC',
        units: aSite().units,
        link: null,
        acknowledgeLink: (...of) => this.acknowledgeLink(...of),
      }),
    });
  }

  #channel({ channelId }: ChannelSetting): Channel {
    return {
      send: async (message, { address, subscription }) => {
        const sent = { channelId, recipient: { address, subscription }, message, atMs: this.clock.nowMs() };
        const at = this.sent.push({ ...sent, isTaken: false });
        const answer = this.answers.get(channelId)?.(message) ?? TAKEN;
        this.sent[at - 1] = { ...sent, isTaken: answer === TAKEN };
        return answer;
      },
    };
  }

  set(channels: readonly ChannelSetting[], people: readonly Person[]): this {
    const book = this.outbox.book();
    for (const channel of channels) book.channels.put(channel.channelId, channel);
    for (const person of people) book.people.put(person.personId, person);
    this.outbox.settingsChanged(channels.map(({ channelId }) => channelId));
    return this;
  }

  /** The alert desk journals an episode and tells it. */
  episode(id: string, change: Partial<Episode> = {}): Episode {
    const beganAtMs = this.clock.nowMs();
    const words = { measured: null, limit: null, unit: null, message: `${id} is silent.`, advice: 'Look at it.' };
    const state = { kind: 'active', beganAtMs, lastSampleMs: beganAtMs } as const;
    const begun = { ...newEpisode({ name: 'probe-silent', level: 'attention' }, id, 'one', state, words), id };
    const episode: Episode = { ...(this.episodes.get(id) ?? begun), ...change };
    this.episodes.set(id, episode);
    this.outbox.take(episode);
    return episode;
  }

  end(id: string): Episode {
    const endedAtMs = this.clock.nowMs();
    const beganAtMs = this.episodes.get(id)?.state.beganAtMs ?? endedAtMs;
    const state = { kind: 'ended', beganAtMs, lastSampleMs: endedAtMs, endedAtMs } as const;
    return this.episode(id, { state, message: `${id} is heard.`, advice: '' });
  }

  /** Goes on, second by second, and lets what is on its way arrive. */
  async go(durationMs: number, stepMs = SECOND): Promise<void> {
    for (let left = durationMs; left > 0; left -= stepMs) {
      this.clock.advance(Math.min(left, stepMs));
      this.outbox.tick();
      await settle(2);
      this.clock.advance(0);
      await settle(1);
    }
  }

  /** Attempts as words: channel, turn, episodes. */
  told(channelId?: string): string[] {
    return this.sent
      .filter((one) => channelId === undefined || one.channelId === channelId)
      .map(({ channelId: id, message }) => {
        const episodes = message.episodes.map((episode) => (episode as { id: string }).id);
        return `${id} ${message.what} ${episodes.join('+')}`;
      });
  }
}
