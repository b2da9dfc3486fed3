import type { ChannelSetting } from '../domain/delivery/channel.ts';
import type { Spent } from '../domain/delivery/limit.ts';
import type { MatterStory, Part } from '../domain/delivery/matter.ts';
import type { Person, PushSubscription } from '../domain/delivery/people.ts';
import type { Thread } from '../domain/delivery/thread.ts';
import type { OutgoingMessage } from './channel.ts';

/** Things of one kind by id. Durable when a method returns, or when the `together` around it does. */
export interface Shelf<T> {
  all(): Map<string, T>;
  put(id: string, value: T): void;
  remove(id: string): void;
}

export interface KeptMatter extends MatterStory {
  /** The newest form of the contract, for programs. */
  readonly wire: object;
}

/** A thread of a lane; the shelf's id is `<laneId>\n<matterId>`. */
export interface KeptThread extends Thread {
  readonly laneId: string;
}

export interface KeptMessage {
  readonly parts: readonly Part[];
  readonly message: OutgoingMessage;
  /** An attempt began and its outcome is not noted. */
  readonly inFlight: boolean;
  /** It may have arrived: its content must not change any more. */
  readonly mayHaveArrived: boolean;
  /** How often the service ended in the middle of sending it. */
  readonly interruptions: number;
}

/** How a lane is doing. */
export interface LaneRecord {
  /** Failures in a row. */
  readonly attempts: number;
  readonly nextTryAtMs: number;
  readonly failingSinceMs: number | null;
  readonly message: KeptMessage | null;
  /** The remote said that the recipient is no more. Nothing is sent until the channel or person is set anew. */
  readonly isGone: boolean;
  /** Messages given up since one was taken. */
  readonly lostSinceSuccess: number;
  readonly lastSuccessAtMs: number | null;
  readonly lastFailureAtMs: number | null;
  /** What the remote said last, without secrets. */
  readonly lastAnswer: string | null;
  readonly delivered: number;
  /** Of these, by the day of the site (year-month-day), the last 31 such days; left out by versions that did not count. */
  readonly deliveredByDay?: Readonly<Record<string, number>>;
  readonly failures: number;
  /** Messages that were given up. */
  readonly givenUp: number;
}

/** Everything that delivery must not forget. */
export interface OutboxJournal {
  readonly channels: Shelf<ChannelSetting>;
  readonly people: Shelf<Person>;
  readonly subscriptions: Shelf<PushSubscription>;
  readonly matters: Shelf<KeptMatter>;
  readonly threads: Shelf<KeptThread>;
  readonly lanes: Shelf<LaneRecord>;
  /** By person. */
  readonly spent: Shelf<readonly Spent[]>;
  /** Our own keys, such as the one that push services know us by. */
  readonly keys: Shelf<{ readonly publicKey: string; readonly privateKey: string }>;
  /** All of it or nothing. */
  together<T>(write: () => T): T;
}
