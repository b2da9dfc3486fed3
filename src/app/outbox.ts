import { type Episode, isTold } from '../alerts/episode.ts';
import { BROKER_CHANNEL, type ChannelSetting, secretsOf, withoutSecrets } from '../domain/delivery/channel.ts';
import { type Matter, type Part, partsKey } from '../domain/delivery/matter.ts';
import { lapsedThreads, nextMessage } from '../domain/delivery/next-message.ts';
import { oneLine } from '../domain/delivery/one-line.ts';
import { concerns, type LaneSpec } from '../domain/delivery/people.ts';
import { isQuiet } from '../domain/delivery/quiet-hours.ts';
import { GIVE_UP_AFTER_MS, RETRY_AFTER_MS_MAX, retryPauseMs } from '../domain/delivery/retry.ts';
import { afterGivenUp, afterTold, newThread, type Thread } from '../domain/delivery/thread.ts';
import type { Chance } from '../ports/chance.ts';
import type { Channel, Delivery, OpenChannel } from '../ports/channel.ts';
import type { Clock } from '../ports/clock.ts';
import type { NewId } from '../ports/ids.ts';
import type { EpisodeJournal } from '../ports/journal.ts';
import type { Log } from '../ports/log.ts';
import type { KeptMessage, OutboxJournal } from '../ports/outbox-journal.ts';
import { withoutLinks } from './acknowledge-links.ts';
import { isFailing, watchChannels } from './channel-troubles.ts';
import { countedOn, dateIn, minuteOfDay } from './local-time.ts';
import { OutboxBook } from './outbox-book.ts';
import { type SiteWords, writeMessage } from './outbox-message.ts';
import { presentEpisode } from './present.ts';

/** How often what the alert desk journalled is compared with what was taken on (ms). */
const COMPARE_EVERY_MS = 60_000;
/** How long a stop waits for messages that are on their way (ms). What is not back by then is told again at most once. */
const STOP_WAIT_MS = 2_000;
/** A service that ended in the middle of sending a message tries it again once, not more: it may have arrived each time. */
const INTERRUPTIONS_MAX = 1;

/** A tick comes every second; without one for so long something stands still (ms). */
const STANDSTILL_MS = 30_000;
/** Written and removed again to see that the journal can be written. */
const PROOF = 'proof';

export interface OutboxOptions {
  readonly journal: OutboxJournal;
  readonly episodes: Pick<EpisodeJournal, 'openEpisodes' | 'episode'>;
  readonly clock: Clock;
  readonly log: Log;
  readonly newId: NewId;
  readonly chance: Chance;
  readonly open: OpenChannel;
  readonly site: () => SiteWords;
}

/** Takes episodes on, and sees to it that each person and program is told of them: once, in time, and to the end. */
export class Outbox {
  readonly #options: OutboxOptions;
  #book: OutboxBook;
  readonly #channels = new Map<string, Channel>();
  /** Lanes on which a message is being sent. */
  readonly #busy = new Map<string, Promise<void>>();
  #comparedAtMs = Number.NEGATIVE_INFINITY;
  #tickedMs: number | null = null;
  #stopped = false;

  constructor(options: OutboxOptions) {
    this.#options = options;
    this.#book = new OutboxBook(options.journal);
    this.#recover();
  }

  book(): OutboxBook {
    return this.#book;
  }

  isSending(laneId: string): boolean {
    return this.#busy.has(laneId);
  }

  /** Takes on what the alert desk tells; it is kept when this returns. */
  take(episode: Episode): void {
    if (!isTold(episode)) return;
    this.#safely(() => this.tell(matterOf(episode), presentEpisode(episode)));
    // Not here and now: whoever tells must not wait for the outside.
    this.#options.clock.after(0, () => this.#turn());
  }

  /** Takes a matter on, or what has become of it. Lanes of one channel may be left out: it cannot tell its own trouble. */
  tell(news: Omit<Matter, 'version'>, wire: object, notByChannelId: string | null = null): void {
    const book = this.#book;
    const nowMs = this.#options.clock.nowMs();
    const known = book.matters.get(news.id);
    // Over before we heard of it, or told to the end already.
    if (known === null ? news.endedAtMs !== null : known.latest.endedAtMs !== null) return;
    const latest: Matter = { ...news, version: known === null ? 0 : known.latest.version + 1 };
    if (
      known !== null &&
      JSON.stringify([known.wire, { ...known.latest, version: latest.version }]) === JSON.stringify([wire, latest])
    )
      return;
    book.together(() => {
      book.matters.put(latest.id, { begin: known?.begin ?? latest, latest, wire });
      for (const lane of book.lanes()) {
        const thread = book.thread(lane.laneId, latest.id);
        const wasConcern = known !== null && concerns(lane, known.latest.level);
        if (thread !== null) {
          if (latest.endedAtMs !== null) book.saveThread(lane.laneId, { ...thread, sinceMs: nowMs });
        } else if (!wasConcern && concerns(lane, latest.level) && lane.channelId !== notByChannelId) {
          book.saveThread(lane.laneId, newThread(latest.id, nowMs));
        }
      }
      book.forgetIfOver(latest.id);
    });
  }

  /** Once a second, and whenever something may go out. */
  tick(): void {
    const nowMs = this.#options.clock.nowMs();
    this.#tickedMs = this.#options.clock.monotonicMs();
    if (Math.abs(nowMs - this.#comparedAtMs) >= COMPARE_EVERY_MS) {
      this.#comparedAtMs = nowMs;
      this.#safely(() => this.#compare());
    }
    this.#safely(() => {
      watchChannels(this.#book, nowMs, (matter, wire, channelId) => this.tell(matter, wire, channelId));
    });
    this.#turn();
  }

  /** Null, or why nobody could be told of anything now. */
  trouble(): string | null {
    const { clock, journal } = this.#options;
    if (this.#tickedMs === null || clock.monotonicMs() - this.#tickedMs > STANDSTILL_MS) return 'delivery stands still';
    try {
      journal.together(() => {
        journal.spent.put(PROOF, []);
        journal.spent.remove(PROOF);
      });
    } catch (error) {
      return `delivery cannot write its journal: ${(error as Error).message}`;
    }
    const toPeople = this.#book.lanes().filter(({ person, step }) => person !== null && step === 'first');
    const nowMs = clock.nowMs();
    const failing = toPeople.filter(({ laneId }) => isFailing(this.#book.record(laneId), nowMs));
    return toPeople.length > 0 && failing.length === toPeople.length ? 'no channel reaches anybody' : null;
  }

  /** Channels or people were set anew: failures of before say nothing of what is set now. */
  settingsChanged(channelIds: readonly string[]): void {
    for (const channelId of channelIds) this.#channels.delete(channelId);
    this.#book.followSettings();
    for (const { laneId, channelId } of this.#book.lanes()) {
      if (channelIds.includes(channelId)) this.revive(laneId);
    }
    this.#options.clock.after(0, () => this.#turn());
  }

  /** Lets a lane try again at once. */
  revive(laneId: string): void {
    const record = this.#book.record(laneId);
    if (record.attempts === 0 && !record.isGone && record.lostSinceSuccess === 0) return;
    const fresh = { attempts: 0, nextTryAtMs: 0, failingSinceMs: null, isGone: false, lostSinceSuccess: 0 };
    this.#book.changeRecord(laneId, fresh);
  }

  channel(setting: ChannelSetting): Channel {
    const known = this.#channels.get(setting.channelId);
    if (known !== undefined) return known;
    const made = this.#options.open(setting);
    this.#channels.set(setting.channelId, made);
    return made;
  }

  setting(channelId: string): ChannelSetting | null {
    return channelId === BROKER_CHANNEL.channelId ? BROKER_CHANNEL : this.#book.channels.get(channelId);
  }

  /** Resolves when nothing is on its way any more, or after a bound. */
  async stop(): Promise<void> {
    this.#stopped = true;
    const { clock } = this.#options;
    let stopWaiting = () => {};
    const late = new Promise<void>((resolve) => {
      stopWaiting = clock.after(STOP_WAIT_MS, resolve);
    });
    await Promise.race([Promise.all(this.#busy.values()), late]);
    stopWaiting();
    this.#busy.clear();
  }

  /** Sees what the journal holds that we were not told of: the service may have ended in between. */
  #compare(): void {
    const { episodes, clock } = this.#options;
    const open = episodes.openEpisodes().filter(isTold);
    for (const episode of open) {
      if (!this.#book.matters.has(episode.id)) this.tell(matterOf(episode), presentEpisode(episode));
    }
    const isOpen = new Set(open.map(({ id }) => id));
    for (const { latest, wire } of this.#book.matters.values()) {
      if (latest.endedAtMs !== null || isOpen.has(latest.id) || latest.ownedBy === 'outbox') continue;
      const ended = episodes.episode(latest.id);
      if (ended !== null) this.tell(matterOf(ended), presentEpisode(ended));
      else this.tell({ ...latest, endedAtMs: clock.nowMs() }, { ...wire, state: 'ended' });
    }
  }

  /** What was on its way when the service ended may have arrived. */
  #recover(): void {
    const nowMs = this.#options.clock.nowMs();
    for (const lane of this.#book.lanes()) {
      const kept = this.#book.record(lane.laneId).message;
      if (kept === null || !kept.inFlight) continue;
      if (kept.interruptions >= INTERRUPTIONS_MAX) {
        this.#book.together(() =>
          this.#told(lane, kept, 'not known whether it arrived: the service ended twice', nowMs),
        );
        continue;
      }
      const again = { ...kept, inFlight: false, mayHaveArrived: true, interruptions: kept.interruptions + 1 };
      this.#book.changeRecord(lane.laneId, { message: again });
    }
  }

  #turn(): void {
    if (this.#stopped) return;
    for (const lane of this.#book.lanes()) this.#safely(() => this.#serve(lane));
  }

  #serve(lane: LaneSpec): void {
    const { laneId } = lane;
    const nowMs = this.#options.clock.nowMs();
    const record = this.#book.record(laneId);
    if (this.#busy.has(laneId) || record.isGone) return;
    if (record.message === null && this.#book.threads(laneId).length === 0) return;
    // A wall clock that was set back must not make a pause last for ever.
    const waitMs = record.nextTryAtMs - nowMs;
    if (waitMs > 0 && waitMs <= RETRY_AFTER_MS_MAX) return;
    const kept = this.#messageFor(lane, record.message, nowMs);
    if (kept !== null) this.#send(lane, kept, nowMs);
  }

  /** What goes out now on a lane. A message that may have arrived is repeated as it is; any other follows the news. */
  #messageFor(lane: LaneSpec, before: KeptMessage | null, nowMs: number): KeptMessage | null {
    const book = this.#book;
    const site = this.#options.site();
    const view = {
      laneId: lane.laneId,
      isProgram: lane.person === null,
      step: lane.step,
      threads: book.threads(lane.laneId),
      matters: book.latest(),
      isQuiet:
        lane.person !== null &&
        isQuiet(lane.person.quietHours, minuteOfDay(nowMs, lane.person.timeZone ?? site.timeZone)),
      spent: book.spent(lane.person?.personId ?? null),
      escalatesAtMs: (matterId: string) => this.#escalatesAtMs(lane, matterId),
    };
    // Noted as on its way, though nothing is: its outcome could not be kept.
    if (before?.mayHaveArrived || before?.inFlight)
      return view.isQuiet && before.message.level !== 'urgent' ? null : before;
    const lapsed = lapsedThreads(view);
    if (lapsed.length > 0) book.together(() => lapsed.map((matterId) => book.dropThread(lane.laneId, matterId)));
    const parts = nextMessage(view, nowMs);
    if (parts === null) return null;
    if (before !== null && partsKey(before.parts) === partsKey(parts)) return before;
    const told = parts.flatMap((part) => {
      const story = book.matters.get(part.matterId);
      return story === null ? [] : { part, story };
    });
    const message = writeMessage(told, lane, site, { id: this.#options.newId(), atMs: nowMs });
    return { parts, message, inFlight: false, mayHaveArrived: false, interruptions: 0 };
  }

  /**
   * Counted from the first try on a first way; while all ways of a lane fail, from when it would have been tried. Where no
   * first way tells it, nobody else will: then at once.
   */
  #escalatesAtMs({ person }: LaneSpec, matterId: string): number | null {
    const triedAtMs: (number | null)[] = [];
    for (const lane of this.#book.lanes()) {
      if (lane.person?.personId !== person?.personId || lane.step !== 'first') continue;
      const thread = this.#book.thread(lane.laneId, matterId);
      if (thread === null) continue;
      const isFailing = this.#book.record(lane.laneId).attempts > 0;
      triedAtMs.push(thread.triedAtMs ?? (isFailing ? thread.sinceMs : null));
    }
    if (triedAtMs.length === 0) return Number.NEGATIVE_INFINITY;
    const known = triedAtMs.flatMap((atMs) => atMs ?? []);
    return known.length === 0 ? null : Math.min(...known) + (person?.escalateAfterMs ?? Number.POSITIVE_INFINITY);
  }

  #send(lane: LaneSpec, kept: KeptMessage, nowMs: number): void {
    const { laneId, person } = lane;
    const book = this.#book;
    const setting = this.setting(lane.channelId);
    if (setting === null) return;
    // Noted before it goes out: after a crash we know that it may have arrived.
    book.together(() => {
      book.changeRecord(laneId, { message: { ...kept, inFlight: true } });
      book.spend(person?.personId ?? null, { key: partsKey(kept.parts), laneId, atMs: nowMs });
      for (const { matterId } of kept.parts) {
        const thread = book.thread(laneId, matterId);
        if (thread !== null && thread.triedAtMs === null) book.saveThread(laneId, { ...thread, triedAtMs: nowMs });
      }
    });
    const sending = this.#attempt(setting, lane, kept).then((delivery) => {
      if (this.#busy.get(laneId) !== sending) return;
      this.#busy.delete(laneId);
      this.#safely(() => this.#note(lane, kept, delivery, secretsOf(setting)));
      if (!this.#stopped) this.#options.clock.after(0, () => this.#turn());
    });
    this.#busy.set(laneId, sending);
  }

  async #attempt(setting: ChannelSetting, lane: LaneSpec, kept: KeptMessage): Promise<Delivery> {
    try {
      return await this.channel(setting).send(kept.message, lane);
    } catch (error) {
      this.#options.log.error(`mistake in the channel ${setting.channelId}: ${(error as Error).name}`);
      return { kind: 'failed', answer: 'the service made a mistake', isCertain: false, retryAfterMs: null };
    }
  }

  /** What came of an attempt. */
  #note(lane: LaneSpec, kept: KeptMessage, delivery: Delivery, secrets: readonly string[]): void {
    const book = this.#book;
    // Its person or channel went meanwhile.
    if (book.lane(lane.laneId) === null) return;
    const nowMs = this.#options.clock.nowMs();
    const answer = oneLine(withoutLinks(withoutSecrets(delivery.answer, secrets)), 300);
    book.together(() => {
      switch (delivery.kind) {
        case 'taken':
          return this.#told(lane, kept, answer, nowMs);
        case 'gone':
          return this.#gone(lane, answer, nowMs);
        case 'refused':
          return this.#failed(lane, kept, answer, nowMs, { isLost: true, arrived: false, retryAfterMs: null });
        case 'failed': {
          const failingSinceMs = book.record(lane.laneId).failingSinceMs ?? nowMs;
          const isLost = nowMs - Math.max(failingSinceMs, this.#sinceMs(lane, kept.parts)) >= GIVE_UP_AFTER_MS;
          const arrived = kept.mayHaveArrived || !delivery.isCertain;
          return this.#failed(lane, kept, answer, nowMs, { isLost, arrived, retryAfterMs: delivery.retryAfterMs });
        }
      }
    });
  }

  #sinceMs({ laneId }: LaneSpec, parts: readonly Part[]): number {
    return Math.max(...parts.map(({ matterId }) => this.#book.thread(laneId, matterId)?.sinceMs ?? 0));
  }

  #told({ laneId }: LaneSpec, { parts }: KeptMessage, answer: string, nowMs: number): void {
    this.#moveThreads(laneId, parts, (thread, part) => afterTold(thread, part, nowMs));
    const record = this.#book.record(laneId);
    const today = dateIn(nowMs, this.#options.site().timeZone);
    this.#book.changeRecord(laneId, {
      attempts: 0,
      nextTryAtMs: 0,
      failingSinceMs: null,
      message: null,
      lostSinceSuccess: 0,
      lastSuccessAtMs: nowMs,
      lastAnswer: answer,
      delivered: record.delivered + 1,
      deliveredByDay: countedOn(record.deliveredByDay ?? {}, today),
    });
  }

  #failed(
    { laneId, person, channelId }: LaneSpec,
    kept: KeptMessage,
    answer: string,
    nowMs: number,
    { isLost, arrived, retryAfterMs }: { isLost: boolean; arrived: boolean; retryAfterMs: number | null },
  ): void {
    const record = this.#book.record(laneId);
    const attempts = record.attempts + 1;
    if (!arrived) this.#book.unspend(person?.personId ?? null, partsKey(kept.parts), laneId);
    if (isLost) {
      this.#moveThreads(laneId, kept.parts, afterGivenUp);
      this.#options.log.warn(`a message by ${channelId} is given up: ${answer}`);
    }
    this.#book.changeRecord(laneId, {
      attempts,
      nextTryAtMs: nowMs + retryPauseMs(attempts, this.#options.chance(), retryAfterMs),
      failingSinceMs: record.failingSinceMs ?? nowMs,
      message: isLost ? null : { ...kept, inFlight: false, mayHaveArrived: arrived },
      lostSinceSuccess: record.lostSinceSuccess + (isLost ? 1 : 0),
      lastFailureAtMs: nowMs,
      lastAnswer: answer,
      failures: record.failures + 1,
      givenUp: record.givenUp + (isLost ? 1 : 0),
    });
  }

  #gone(lane: LaneSpec, answer: string, nowMs: number): void {
    const book = this.#book;
    for (const { matterId } of book.threads(lane.laneId)) book.dropThread(lane.laneId, matterId);
    book.changeRecord(lane.laneId, {
      message: null,
      isGone: true,
      lastFailureAtMs: nowMs,
      lastAnswer: answer,
      failures: book.record(lane.laneId).failures + 1,
    });
    this.#options.log.warn(`${lane.channelId} says that a recipient is no more: ${answer}`);
    if (lane.subscription === null) return;
    book.subscriptions.remove(lane.subscription.subscriptionId);
    book.followSettings();
  }

  #moveThreads(laneId: string, parts: readonly Part[], move: (thread: Thread, part: Part) => Thread | null): void {
    for (const part of parts) {
      const thread = this.#book.thread(laneId, part.matterId);
      if (thread === null) continue;
      const moved = move(thread, part);
      if (moved === null) this.#book.dropThread(laneId, part.matterId);
      else this.#book.saveThread(laneId, moved);
    }
  }

  /** A disk that fails must not stop the alert desk; what could not be kept is read anew and compared a minute later. */
  #safely(work: () => void): void {
    try {
      work();
    } catch (error) {
      this.#options.log.error(`delivery failed inside: ${(error as Error).message}`);
      this.#reload();
    }
  }

  #reload(): void {
    try {
      this.#book = new OutboxBook(this.#options.journal);
    } catch (error) {
      this.#options.log.error(`the outbox cannot be read: ${(error as Error).message}`);
    }
  }
}

function matterOf(episode: Episode): Omit<Matter, 'version'> {
  const { id, kegId, level, message, advice, measured, limit, unit, state, acknowledgedAtMs, mutedUntilMs } = episode;
  const { beganAtMs } = state;
  const endedAtMs = state.kind === 'ended' ? state.endedAtMs : null;
  const words = { message, advice, measured, limit, unit };
  return { id, kegId, level, ...words, beganAtMs, endedAtMs, acknowledgedAtMs, mutedUntilMs, ownedBy: 'desk' };
}
