import { createServer, type Server, type Socket } from 'node:net';
import { createServer as createTlsServer } from 'node:tls';
import { Aedes, type Client } from 'aedes';
import { SERVICE_TOPIC } from '../../contract/index.ts';
import { TOPIC_LENGTH_MAX, TOPIC_LEVELS_MAX } from '../../domain/access/topic-rule.ts';
import { addressKind } from '../../domain/delivery/address.ts';
import { matchesAny } from '../../domain/topic-filter.ts';
import type { Broker, Receive } from '../../ports/broker.ts';
import type { BrokerDoor, BrokerRights } from '../../ports/broker-door.ts';
import { PacketMeter } from './packet-meter.ts';

/** What only the service itself may publish. */
const OWN_TOPICS = ['quietkeg/#', '$SYS/#'];

/** Largest packet (bytes): a topic, a payload of 256 KiB, and room for the rest. */
export const PACKET_BYTES_MAX = 256 * 1024 + 1024;
/** Of both listeners together; those that have not said who they are count as well. */
export const CONNECTIONS_MAX = 1000;
export const SUBSCRIPTIONS_MAX = 100;
const CLIENT_ID_MAX = 200;

export interface BrokerTls {
  readonly host: string;
  readonly port: number;
  /** PEM. */
  readonly cert: string;
  readonly key: string;
}

export interface EmbeddedBrokerOptions {
  /** Left out: only this machine may come in, and may do everything. */
  readonly door?: BrokerDoor;
  /** A second listener, encrypted. */
  readonly tls?: BrokerTls | null;
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
  readonly #rights = new Map<Client, BrokerRights>();
  #tlsServer: Server | null = null;
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
      preConnect: (client, packet, callback) => {
        const isTooMuch = packet.clientId.length > CLIENT_ID_MAX;
        // Of a socket that was closed meanwhile there is nothing to say.
        callback(isTooMuch ? new Error(`${client.id ?? 'a client'} has too long a name`) : null, !isTooMuch);
      },
      authenticate: (client, name, password, callback) => {
        this.#enter(client, name, password).then(
          (isIn) => callback(null, isIn),
          () => callback(null, false),
        );
      },
      authorizeSubscribe: (client, subscription, callback) => {
        const { topic } = subscription;
        const isAllowed =
          topic.length <= TOPIC_LENGTH_MAX &&
          // It would be granted and never served.
          !topic.startsWith('$share/') &&
          Object.keys(Object(Reflect.get(client, 'subscriptions'))).length < SUBSCRIPTIONS_MAX &&
          (this.#rights.get(client)?.maySubscribe(topic) ?? false);
        callback(null, isAllowed ? subscription : null);
      },
      authorizePublish: (client, packet, callback) => {
        if (packet.topic.length > TOPIC_LENGTH_MAX || packet.topic.split('/').length > TOPIC_LEVELS_MAX) {
          callback(new Error('the topic is too long'));
        } else if (client === null || this.#rights.get(client)?.mayPublish(packet.topic) !== true) {
          callback(new Error(`this user may not publish to ${packet.topic}`));
        } else if (matchesAny(OWN_TOPICS, packet.topic)) {
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
    const accept = (socket: Socket) => {
      if (this.#sockets.size >= CONNECTIONS_MAX) {
        socket.on('error', () => undefined);
        socket.destroy();
        return;
      }
      this.#sockets.add(socket);
      metered(socket);
      const client = aedes.handle(socket);
      socket.on('close', () => {
        this.#sockets.delete(socket);
        // Its last will is published after this, and asks what it may.
        setImmediate(() => this.#rights.delete(client));
      });
    };
    this.#server = createServer(accept);
    await listen(this.#server, this.#options);
    const { tls } = this.#options;
    if (tls !== null && tls !== undefined) {
      this.#tlsServer = createTlsServer({ cert: tls.cert, key: tls.key }, accept);
      // Before they have shaken hands they do not come to `accept`.
      this.#tlsServer.maxConnections = CONNECTIONS_MAX;
      await listen(this.#tlsServer, tls);
    }
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

  /** Called now and then: lets go of those whose user was removed or changed. */
  putOut(): void {
    for (const [client, rights] of this.#rights) if (!rights.isStillGood()) client.close();
  }

  async #enter(client: Client, name: unknown, password: unknown): Promise<boolean> {
    const socket = client.conn as Socket;
    const address = socket.remoteAddress ?? '';
    const visitor = {
      name: typeof name === 'string' && name !== '' ? name : null,
      password: Buffer.isBuffer(password) ? password.toString('utf8') : null,
      address,
      isLocal: addressKind(address) === 'loopback' || (address !== '' && address === socket.localAddress),
    };
    const rights =
      this.#options.door === undefined ? onlyHere(visitor.isLocal) : await this.#options.door.enter(visitor);
    if (rights === null) return false;
    this.#rights.set(client, rights);
    return true;
  }

  /** The port of the encrypted listener; null if there is none. */
  tlsPort(): number | null {
    const address = this.#tlsServer?.address();
    return typeof address === 'object' && address !== null ? address.port : null;
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
    const closed = Promise.all(
      [server, this.#tlsServer].map(
        (one) => new Promise<void>((resolve) => (one === null ? resolve() : one.close(() => resolve()))),
      ),
    );
    await new Promise<void>((resolve) => aedes.close(() => resolve()));
    for (const socket of this.#sockets) socket.destroy();
    await closed;
    this.#server = null;
    this.#tlsServer = null;
    this.#rights.clear();
    this.#aedes = null;
  }
}

function onlyHere(isLocal: boolean): BrokerRights | null {
  return isLocal ? { mayPublish: () => true, maySubscribe: () => true, isStillGood: () => true } : null;
}

/** Lets a socket be read only as long as its packets are of an allowed size. */
function metered(socket: Socket): void {
  const meter = new PacketMeter(PACKET_BYTES_MAX);
  const read = socket.read.bind(socket);
  socket.read = (size?: number) => {
    const bytes: unknown = read(size);
    if (!(bytes instanceof Uint8Array) || meter.pass(bytes)) return bytes;
    socket.destroy();
    return null;
  };
}

function listen(server: Server, { host, port }: { readonly host: string; readonly port: number }): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, host, () => {
      server.off('error', reject);
      resolve();
    });
  });
}
