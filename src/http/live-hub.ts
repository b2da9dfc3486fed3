import type { WebSocket } from 'ws';
import type { Caller } from '../app/access.ts';
import { presentEpisode } from '../app/present.ts';
import type { Services } from '../app/services.ts';
import { LIVE_PROTOCOL, type LiveFrame, LiveRequest } from '../contract/index.ts';
import { isEnough, LIVE_ROLES } from './access/roles.ts';

/** A client with more than this unsent is slow (bytes): it gets the newest of everything later, not all in between. */
const SLOW_BYTES = 256 * 1024;
/** Longest a client may be slow before we let it go (ms): it comes back and gets a snapshot. */
const SLOW_MS_MAX = 60_000;
const REQUEST_BYTES_MAX = 1024;

/** Pages that may be open at once, and of one address. */
export const PAGES_MAX = 500;
export const PAGES_MAX_OF_ADDRESS = 50;
/** Closes a socket whose holder is no longer in. @source RFC 6455, section 7.4.2: 4000 and above are ours */
const PUT_OUT = 4401;

/** Who opened a page. */
export interface PageHolder {
  readonly caller: Caller;
  readonly address: string;
}

interface Client {
  readonly socket: WebSocket;
  readonly holder: PageHolder;
  /** Newest unsent frame of each key; bounded by the number of kegs and alerts. */
  readonly pending: Map<string, string>;
  slowSinceMs: number | null;
}

/** Sends the feed to every open page. */
export class LiveHub {
  readonly #services: Services;
  readonly #clients = new Set<Client>();
  readonly #stopListening: () => void;

  constructor(services: Services) {
    this.#services = services;
    this.#stopListening = services.feed.listen((frame, key) => {
      if (this.#clients.size === 0) return;
      const text = JSON.stringify(frame);
      for (const client of this.#clients) this.#send(client, key, text);
    });
  }

  /** Whether another page of this address may be opened. */
  hasRoomFor(address: string): boolean {
    if (this.#clients.size >= PAGES_MAX) return false;
    let ofAddress = 0;
    for (const { holder } of this.#clients) if (holder.address === address) ofAddress += 1;
    return ofAddress < PAGES_MAX_OF_ADDRESS;
  }

  /** Called about twice a second: closes the pages of those who are no longer in. */
  putOut(isStillIn: (caller: Caller) => boolean): void {
    for (const { socket, holder } of this.#clients) {
      if (!isStillIn(holder.caller)) socket.close(PUT_OUT, 'logged out');
    }
  }

  accept(socket: WebSocket, holder: PageHolder): void {
    const client: Client = { socket, holder, pending: new Map(), slowSinceMs: null };
    socket.on('message', (bytes: Buffer) => this.#answer(client, bytes));
    socket.on('close', () => this.#clients.delete(client));
    socket.on('error', () => socket.terminate());
    socket.send(JSON.stringify({ type: 'hello', protocol: LIVE_PROTOCOL } satisfies LiveFrame));
    this.#sendSnapshot(client);
    this.#clients.add(client);
  }

  /** Called now and then: sends what slow clients missed once they have caught up. */
  flush(): void {
    const nowMs = this.#services.nowMs();
    for (const client of this.#clients) {
      if (client.slowSinceMs === null) continue;
      if (client.socket.bufferedAmount <= SLOW_BYTES) {
        const missed = [...client.pending.values()];
        client.pending.clear();
        client.slowSinceMs = null;
        for (const text of missed) client.socket.send(text);
      } else if (nowMs - client.slowSinceMs > SLOW_MS_MAX) {
        client.socket.terminate();
      }
    }
  }

  clients(): number {
    return this.#clients.size;
  }

  close(): void {
    this.#stopListening();
    for (const { socket } of this.#clients) socket.close(1001, 'the service stops');
    this.#clients.clear();
  }

  #send(client: Client, key: string, text: string): void {
    if (client.slowSinceMs === null && client.socket.bufferedAmount > SLOW_BYTES) {
      client.slowSinceMs = this.#services.nowMs();
    }
    if (client.slowSinceMs === null) client.socket.send(text);
    else client.pending.set(key, text);
  }

  #answer(client: Client, bytes: Buffer): void {
    const request = bytes.length > REQUEST_BYTES_MAX ? null : parse(bytes);
    if (request === null) {
      const detail = 'Send {"type":"snapshot"} to get everything anew; nothing else is understood here.';
      client.socket.send(JSON.stringify({ type: 'problem', detail } satisfies LiveFrame));
      return;
    }
    if (!isEnough(client.holder.caller.role, LIVE_ROLES[request.type])) {
      const detail = `Your role does not allow ${request.type}.`;
      client.socket.send(JSON.stringify({ type: 'problem', detail } satisfies LiveFrame));
      return;
    }
    client.pending.clear();
    this.#sendSnapshot(client);
  }

  #sendSnapshot({ socket }: Client): void {
    const { feed, desk, nowMs } = this.#services;
    const frame: LiveFrame = {
      type: 'snapshot',
      revision: feed.revision(),
      at: new Date(nowMs()).toISOString(),
      kegs: feed.states(),
      alerts: desk.told().map(presentEpisode),
    };
    socket.send(JSON.stringify(frame));
  }
}

function parse(bytes: Buffer): LiveRequest | null {
  try {
    const parsed = LiveRequest.safeParse(JSON.parse(bytes.toString('utf8')));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}
