import { BROKER_CHANNEL, type ChannelSetting } from '../domain/delivery/channel.ts';
import { type Spent, stillSpent } from '../domain/delivery/limit.ts';
import type { Matter } from '../domain/delivery/matter.ts';
import { type LaneSpec, lanesOf, type Person, type PushSubscription } from '../domain/delivery/people.ts';
import type { Thread } from '../domain/delivery/thread.ts';
import type { KeptMatter, LaneRecord, OutboxJournal, Shelf } from '../ports/outbox-journal.ts';

export const NEW_LANE: LaneRecord = {
  attempts: 0,
  nextTryAtMs: 0,
  failingSinceMs: null,
  message: null,
  isGone: false,
  lostSinceSuccess: 0,
  lastSuccessAtMs: null,
  lastFailureAtMs: null,
  lastAnswer: null,
  delivered: 0,
  failures: 0,
  givenUp: 0,
};

/** Everything that delivery knows, in memory and in its journal alike. */
export class OutboxBook {
  readonly #journal: OutboxJournal;
  readonly channels: Kept<ChannelSetting>;
  readonly people: Kept<Person>;
  readonly subscriptions: Kept<PushSubscription>;
  readonly matters: Kept<KeptMatter>;
  readonly #records: Kept<LaneRecord>;
  readonly #spent: Kept<readonly Spent[]>;
  /** By lane, then by matter. */
  readonly #threads = new Map<string, Map<string, Thread>>();
  #lanes: readonly LaneSpec[] = [];

  constructor(journal: OutboxJournal) {
    this.#journal = journal;
    this.channels = new Kept(journal.channels);
    this.people = new Kept(journal.people);
    this.subscriptions = new Kept(journal.subscriptions);
    this.matters = new Kept(journal.matters);
    this.#records = new Kept(journal.lanes);
    this.#spent = new Kept(journal.spent);
    for (const { laneId, ...thread } of journal.threads.all().values()) {
      this.#threadsOf(laneId).set(thread.matterId, thread);
    }
    this.followSettings();
  }

  together<T>(write: () => T): T {
    return this.#journal.together(write);
  }

  /** To be called after a change of channels, people or subscriptions: what belongs to lanes that are no more is dropped. */
  followSettings(): void {
    const channels = [BROKER_CHANNEL, ...this.channels.values()].map(({ channelId, isProgram, kind }) => {
      return { channelId, isProgram, perBrowser: kind === 'web-push' };
    });
    this.#lanes = lanesOf({
      channels,
      people: this.people.values(),
      subscriptions: this.subscriptions.values(),
    });
    const known = new Set(this.#lanes.map(({ laneId }) => laneId));
    this.together(() => {
      for (const [laneId, threads] of this.#threads) {
        if (known.has(laneId)) continue;
        for (const matterId of [...threads.keys()]) this.dropThread(laneId, matterId);
        this.#threads.delete(laneId);
      }
      for (const laneId of this.#records.ids()) if (!known.has(laneId)) this.#records.remove(laneId);
      for (const personId of this.#spent.ids()) if (!this.people.has(personId)) this.#spent.remove(personId);
    });
  }

  lanes(): readonly LaneSpec[] {
    return this.#lanes;
  }

  lane(laneId: string): LaneSpec | null {
    return this.#lanes.find((lane) => lane.laneId === laneId) ?? null;
  }

  record(laneId: string): LaneRecord {
    return this.#records.get(laneId) ?? NEW_LANE;
  }

  changeRecord(laneId: string, change: Partial<LaneRecord>): void {
    this.#records.put(laneId, { ...this.record(laneId), ...change });
  }

  threads(laneId: string): readonly Thread[] {
    return [...(this.#threads.get(laneId)?.values() ?? [])];
  }

  thread(laneId: string, matterId: string): Thread | null {
    return this.#threads.get(laneId)?.get(matterId) ?? null;
  }

  saveThread(laneId: string, thread: Thread): void {
    this.#threadsOf(laneId).set(thread.matterId, thread);
    this.#journal.threads.put(`${laneId}\n${thread.matterId}`, { ...thread, laneId });
  }

  /** Nothing is left to tell of a matter on a lane; a matter that is over everywhere is forgotten. */
  dropThread(laneId: string, matterId: string): void {
    this.#threads.get(laneId)?.delete(matterId);
    this.#journal.threads.remove(`${laneId}\n${matterId}`);
    this.forgetIfOver(matterId);
  }

  forgetIfOver(matterId: string): void {
    const isOver = this.matters.get(matterId)?.latest.endedAtMs != null;
    const isWaitedFor = [...this.#threads.values()].some((threads) => threads.has(matterId));
    if (isOver && !isWaitedFor) this.matters.remove(matterId);
  }

  latest(): ReadonlyMap<string, Matter> {
    return new Map(this.matters.values().map(({ latest }) => [latest.id, latest]));
  }

  spent(personId: string | null): readonly Spent[] {
    return personId === null ? [] : (this.#spent.get(personId) ?? []);
  }

  /** The message counts for the person from now on, unless it was counted on this lane already. */
  spend(personId: string | null, entry: Spent): void {
    if (personId === null) return;
    const still = stillSpent(this.spent(personId), entry.atMs);
    if (still.some(({ key, laneId }) => key === entry.key && laneId === entry.laneId)) return;
    this.#spent.put(personId, [...still, entry]);
  }

  /** It surely did not arrive, so it does not count. */
  unspend(personId: string | null, key: string, laneId: string): void {
    if (personId === null) return;
    this.#spent.put(
      personId,
      this.spent(personId).filter((one) => one.key !== key || one.laneId !== laneId),
    );
  }

  #threadsOf(laneId: string): Map<string, Thread> {
    const known = this.#threads.get(laneId);
    if (known !== undefined) return known;
    const made = new Map<string, Thread>();
    this.#threads.set(laneId, made);
    return made;
  }
}

/** A shelf with its contents in memory. */
class Kept<T> {
  readonly #shelf: Shelf<T>;
  readonly #all: Map<string, T>;

  constructor(shelf: Shelf<T>) {
    this.#shelf = shelf;
    this.#all = shelf.all();
  }

  get(id: string): T | null {
    return this.#all.get(id) ?? null;
  }

  has(id: string): boolean {
    return this.#all.has(id);
  }

  ids(): string[] {
    return [...this.#all.keys()];
  }

  values(): T[] {
    return [...this.#all.values()];
  }

  put(id: string, value: T): void {
    this.#shelf.put(id, value);
    this.#all.set(id, value);
  }

  remove(id: string): void {
    this.#shelf.remove(id);
    this.#all.delete(id);
  }
}
