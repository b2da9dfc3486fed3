import type { Delivery } from './channel.ts';

export interface OutgoingRequest {
  readonly method: 'GET' | 'POST' | 'PUT';
  readonly url: string;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: string | Uint8Array | null;
  /** Statuses by which this kind of remote says that the recipient is no more. */
  readonly goneAt: readonly number[];
}

/** Sends requests to addresses that people entered: only where anything may be sent, once, bounded, following nothing. */
export interface Outgoing {
  send(request: OutgoingRequest): Promise<Delivery>;
}

export type FoundAddress =
  | { readonly ok: true; readonly address: string; readonly family: 4 | 6 }
  | { readonly ok: false; readonly why: string };

/** The address of a host to which may be sent. Whoever connects uses it, and does not look the name up again. */
export type FindAddress = (host: string) => Promise<FoundAddress>;
