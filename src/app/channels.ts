import type * as contract from '../contract/index.ts';
import { secretsOf, withoutSecrets } from '../domain/delivery/channel.ts';
import { oneLine } from '../domain/delivery/one-line.ts';
import type { Recipient } from '../ports/channel.ts';
import type { Clock } from '../ports/clock.ts';
import type { NewId } from '../ports/ids.ts';
import { setChannels } from './channel-changes.ts';
import { channelReports, personDelivery, personReport } from './channel-report.ts';
import type { Outbox } from './outbox.ts';
import { type SiteWords, testMessage } from './outbox-message.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import { addBrowser, browsersOf, removeBrowser, removePerson, setPerson } from './people-changes.ts';

export interface ChannelsOptions {
  readonly outbox: Outbox;
  readonly clock: Clock;
  readonly newId: NewId;
  readonly newSecret: () => string;
  readonly site: () => SiteWords;
  /** The public key by which push services know us. */
  readonly pushKey: () => string;
}

/** Channels and people: how they are set up, how they do, and a try whether a channel works. */
export class Channels {
  readonly #options: ChannelsOptions;

  constructor(options: ChannelsOptions) {
    this.#options = options;
  }

  channels(): contract.ChannelReport[] {
    return channelReports(this.#options.outbox, this.#options.clock.nowMs());
  }

  putChannels(change: contract.ChannelsChange): Outcome<contract.ChannelReport[]> {
    const { outbox, newSecret, clock } = this.#options;
    const outcome = setChannels(outbox, change, newSecret);
    return outcome.ok ? done(channelReports(outbox, clock.nowMs(), outcome.value.newSecrets)) : outcome;
  }

  people(): contract.Person[] {
    const { outbox, clock } = this.#options;
    return outbox
      .book()
      .people.values()
      .map((person) => personReport(outbox, person, clock.nowMs()));
  }

  /** What reached each person, by day. */
  delivered(): contract.AlertHealth['people'] {
    const { outbox } = this.#options;
    return outbox
      .book()
      .people.values()
      .map((person) => personDelivery(outbox, person));
  }

  putPerson(personId: string, entry: contract.PersonEntry): Outcome<contract.Person> {
    const { outbox, clock } = this.#options;
    const outcome = setPerson(outbox, personId, entry);
    return outcome.ok ? done(personReport(outbox, outcome.value, clock.nowMs())) : outcome;
  }

  deletePerson(personId: string): Outcome<null> {
    return removePerson(this.#options.outbox, personId);
  }

  putBrowser(personId: string, entry: contract.BrowserEntry): Outcome<{ subscriptionId: string }> {
    const outcome = addBrowser(this.#options.outbox, personId, entry, this.#options.newId);
    return outcome.ok ? done({ subscriptionId: outcome.value.subscriptionId }) : outcome;
  }

  deleteBrowser(personId: string, subscriptionId: string): Outcome<null> {
    return removeBrowser(this.#options.outbox, personId, subscriptionId);
  }

  pushKey(): string {
    return this.#options.pushKey();
  }

  /** Sends a test now, past every queue, and tells what the remote answered. */
  async test(channelId: string, request: contract.ChannelTest): Promise<Outcome<contract.ChannelTestResult>> {
    const { outbox, clock, newId, site } = this.#options;
    if (channelId === 'live') {
      const answer = 'Open pages hear of alerts at once. When none is open, nobody does: an open page is no person.';
      return done({ results: [{ to: 'open pages', outcome: 'taken', answer, tookMs: 0 }] });
    }
    const setting = outbox.setting(channelId);
    if (setting === null) return refuse('channel-unknown', `There is no channel ${channelId}.`);
    const recipients = this.#recipients(channelId, setting.kind === 'web-push', request);
    if (!recipients.ok) return recipients;
    const results = await Promise.all(
      recipients.value.map(async ({ to, recipient }) => {
        const beganMs = clock.monotonicMs();
        const message = testMessage(setting.name, site(), { id: newId(), atMs: clock.nowMs() });
        const { kind, answer } = await outbox.channel(setting).send(message, recipient);
        const told = oneLine(withoutSecrets(answer, secretsOf(setting)), 300);
        return { to, outcome: kind, answer: told, tookMs: Math.round(clock.monotonicMs() - beganMs) };
      }),
    );
    if (results.length > 0 && results.every(({ outcome }) => outcome === 'taken'))
      this.#revive(channelId, request.personId);
    return done({ results });
  }

  /** What works now need not wait for its next try. */
  #revive(channelId: string, personId: string | null): void {
    const { outbox } = this.#options;
    for (const lane of outbox.book().lanes()) {
      if (lane.channelId === channelId && (lane.person?.personId ?? null) === personId) outbox.revive(lane.laneId);
    }
  }

  #recipients(
    channelId: string,
    perBrowser: boolean,
    { personId, address }: contract.ChannelTest,
  ): Outcome<{ to: string; recipient: Recipient }[]> {
    const { outbox } = this.#options;
    if (personId === null) {
      if (perBrowser) return refuse('body-invalid', 'personId: say whose browsers are to be tried');
      return done([{ to: address ?? channelId, recipient: { address, subscription: null } }]);
    }
    const person = outbox.book().people.get(personId);
    if (person === null) return refuse('person-unknown', `There is no person ${personId}.`);
    if (perBrowser) {
      const browsers = browsersOf(outbox, personId).filter((one) => one.channelId === channelId);
      if (browsers.length === 0)
        return refuse('person-unknown', `No browser of ${person.name} asked for messages by ${channelId} yet.`);
      return done(
        browsers.map((subscription) => {
          return { to: new URL(subscription.endpoint).host, recipient: { address: null, subscription } };
        }),
      );
    }
    const known = address ?? person.ways.find((way) => way.channelId === channelId)?.address ?? null;
    return done([{ to: known ?? person.name, recipient: { address: known, subscription: null } }]);
  }
}
