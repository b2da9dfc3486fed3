import { createServer, type Server, type Socket } from 'node:net';
import { Aedes } from 'aedes';
import { SERVICE_TOPIC } from '../../contract/index.ts';
import { matchesAny } from '../../domain/topic-filter.ts';
import type { Broker, Receive } from '../../ports/broker.ts';
import { refuseLongPackets } from './packet-watch.ts';

/** Probes of a large taproom, twice over. */
const CONNECTIONS_MAX = 2000;
/** Levels of a topic, published or subscribed. Ours have three or four. */
const TOPIC_LEVELS_MAX = 20;
/** What only the service itself may publish. */
const OWN_TOPICS = ['quietkeg/#', '$SYS/#'];

export interface EmbeddedBrokerOptions {
  readonly host: string;
  /** 0 takes a free port; `port()` tells which. */
  readonly port: number;
}

/**
 * An MQTT 3.1.1 broker inside the process. A message of a probe is taken before the broker acknowledges it: the broker
 * itself answers a QoS 1 publish first and delivers afterwards, so the hold is in its authorisation step. If a message
 * cannot be kept, the publisher's connection is closed and it will send again.
 */
export class EmbeddedBroker implements Broker {
  readonly #options: EmbeddedBrokerOptions;
  #aedes: Aedes | null = null;
  #server: Server | null = null;
  readonly #sockets = new Set<Socket>();
  #filters: readonly string[] = [];

  constructor(options: EmbeddedBrokerOptions) {
    this.#options = options;
  }

  /** It is up whenever we are and drops nothing: there is no news. */
  watch(): void {}

  async start(filters: readonly string[], receive: Receive): Promise<void> {
    this.#filters = filters;
    const aedes = await Aedes.createBroker({
      maxTopicLevels: TOPIC_LEVELS_MAX,
      authorizePublish: (_client, packet, callback) => {
        if (matchesAny(OWN_TOPICS, packet.topic)) {
          callback(new Error(`${packet.topic} is published by the service itself`));
        } else if (matchesAny(this.#filters, packet.topic)) {
          // Retain asks the broker to keep the message; to us it is news, we were there when it was sent.
          const payload = typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload;
          receive({ topic: packet.topic, payload, retained: false, qos: packet.qos }, callback);
        } else {
          callback(null);
        }
      },
    });
    // A client that breaks the protocol is its own trouble; the broker has closed it already.
    aedes.on('clientError', () => undefined);
    aedes.on('connectionError', () => undefined);
    this.#aedes = aedes;
    this.#server = createServer((socket) => {
      this.#sockets.add(socket);
      socket.on('close', () => this.#sockets.delete(socket));
      refuseLongPackets(socket);
      aedes.handle(socket);
    });
    this.#server.maxConnections = CONNECTIONS_MAX;
    await listen(this.#server, this.#options);
    this.publish(SERVICE_TOPIC, 'online', true);
  }

  listenTo(filters: readonly string[]): Promise<void> {
    this.#filters = filters;
    return Promise.resolve();
  }

  publish(topic: string, payload: string, retain: boolean): void {
    this.#aedes?.publish(
      { cmd: 'publish', topic, payload: Buffer.from(payload), qos: 1, retain, dup: false },
      () => undefined,
    );
  }

  trouble(): string | null {
    return this.#server?.listening === true ? null : 'the embedded broker does not listen';
  }

  /** The port it listens on; null before `start`. */
  port(): number | null {
    const address = this.#server?.address();
    return typeof address === 'object' && address !== null ? address.port : null;
  }

  async stop(): Promise<void> {
    const aedes = this.#aedes;
    const server = this.#server;
    if (aedes === null || server === null) return;
    const offline = {
      cmd: 'publish',
      topic: SERVICE_TOPIC,
      payload: 'offline',
      qos: 1,
      retain: true,
      dup: false,
    } as const;
    await new Promise<void>((resolve) => aedes.publish(offline, () => resolve()));
    const closed = new Promise<void>((resolve) => server.close(() => resolve()));
    await new Promise<void>((resolve) => aedes.close(() => resolve()));
    for (const socket of this.#sockets) socket.destroy();
    await closed;
    this.#server = null;
    this.#aedes = null;
  }
}

function listen(server: Server, { host, port }: EmbeddedBrokerOptions): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, host, () => {
      server.off('error', reject);
      resolve();
    });
  });
}
