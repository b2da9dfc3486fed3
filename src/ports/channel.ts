import type { ChannelSetting } from '../domain/delivery/channel.ts';
import type { Level, Turn } from '../domain/delivery/matter.ts';
import type { PushSubscription } from '../domain/delivery/people.ts';

/** A message as it goes out. The same `id` always means the same content. */
export interface OutgoingMessage {
  readonly id: string;
  /** When it was made (ms). */
  readonly atMs: number;
  readonly what: Turn | 'digest' | 'test';
  readonly level: Level;
  readonly subject: string;
  /** One line of at most 178 characters. */
  readonly text: string;
  readonly details: string;
  readonly link: string | null;
  /** Where the person acknowledges it without a log-in; left out where that cannot be. */
  readonly acknowledgeLink?: string;
  readonly kegId: string | null;
  /** The episodes it tells of, in the form of the contract, for programs. */
  readonly episodes: readonly object[];
}

export interface Recipient {
  readonly address: string | null;
  readonly subscription: PushSubscription | null;
}

/** What came of an attempt. `answer` is what the remote said, in one line. */
export type Delivery =
  | { readonly kind: 'taken'; readonly answer: string }
  /** The remote will never take this message; others it may. */
  | { readonly kind: 'refused'; readonly answer: string }
  /** The recipient is no more; nothing need be sent there again. */
  | { readonly kind: 'gone'; readonly answer: string }
  /** Trying again can help. `isCertain`: it surely did not arrive; else it may have. */
  | {
      readonly kind: 'failed';
      readonly answer: string;
      readonly isCertain: boolean;
      readonly retryAfterMs: number | null;
    };

/** Hands messages over to one outside service. Never throws for what the outside does; always ends within a bound. */
export interface Channel {
  send(message: OutgoingMessage, recipient: Recipient): Promise<Delivery>;
}

export type OpenChannel = (setting: ChannelSetting) => Channel;
