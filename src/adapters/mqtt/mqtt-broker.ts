import type { IClientOptions, IPublishPacket } from 'mqtt';
import mqtt, { type MqttClient } from 'mqtt';
import { SERVICE_TOPIC } from '../../contract/index.ts';
import type { Broker, BrokerNews, Receive } from '../../ports/broker.ts';
import { letsAnybodyIn } from './anonymous-access.ts';
import { ForgetfulStore } from './forgetful-store.ts';
import { refusedWords } from './refused-words.ts';
import { SYS_TOPICS, sysNews } from './sys-topics.ts';

/** What goes with a broker's address. Its certificate is always checked. */
export interface BrokerCredentials {
  readonly username?: string;
  readonly password?: string;
  /** Who vouches for it, in PEM; left out: the usual ones. */
  readonly ca?: string;
}

export interface MqttBrokerOptions {
  readonly credentials?: BrokerCredentials;
  /** mqtt://host:1883 or mqtts://…, user and password in it if needed. */
  readonly url: string;
  /** Must stay the same from start to start: the broker keeps our messages under it. */
  readonly clientId: string;
  /** Pause before connecting anew (ms). */
  readonly reconnectMs?: number;
}

const RECONNECT_MS = 1000;
/** How long the broker is asked to keep messages for us while we are away (s). */
const SESSION_EXPIRY_S = 14 * 24 * 3600;
/**
 * Messages that the broker may send ahead of our acknowledgements. Some keep to it, some do not. What it holds back it may
 * forget when it is killed, so this is more than ever waits for one sync.
 */
const RECEIVE_MAXIMUM = 1000;
/** Messages that may wait for the spool; while there are so many, nothing more is read from the connection. */
const HELD_MAX = 2000;

/** A message held back by the trick below; mqtt.js reads on and sends no PUBACK of its own. */
const HELD = new Error('acknowledged later');
const PUBACK = 0x40;

/**
 * Speaks to a broker elsewhere. Messages are acknowledged after they are kept, without blocking the ones behind them:
 * `handleMessage` ends with an error, which makes mqtt.js leave the PUBACK out and read on; we write it when the
 * message is safe, on the connection it came by. A message not acknowledged comes again at the next connection.
 */
export class MqttBroker implements Broker {
  readonly #options: MqttBrokerOptions;
  #client: MqttClient | null = null;
  #tell: (news: BrokerNews) => void = () => undefined;
  #filters: readonly string[] = [];
  /** Filters of no more use that the broker has not been told to forget. */
  readonly #gone = new Set<string>();
  #connected = false;
  #everConnected = false;
  #lastError = 'not connected yet';
  /** Counts connections, so that an acknowledgement never goes to a later one. */
  #connection = 0;
  #held = 0;
  /** Ids of messages that are safe and not acknowledged yet. */
  #safe: number[] = [];
  /** Lets mqtt.js read on. */
  #readOn: (() => void) | null = null;

  constructor(options: MqttBrokerOptions) {
    this.#options = options;
  }

  watch(listener: (news: BrokerNews) => void): void {
    this.#tell = listener;
  }

  start(filters: readonly string[], receive: Receive): Promise<void> {
    this.#filters = filters;
    const client = mqtt.connect(this.#options.url, this.#connectOptions());
    client.handleMessage = (packet, callback) => this.#take(client, packet, receive, callback);
    client.on('connect', ({ sessionPresent }) => {
      this.#connection += 1;
      this.#connected = true;
      this.#held = 0;
      this.#tell({ kind: 'connected', sessionResumed: sessionPresent });
      // On every connection: the broker may have published our last will since.
      client.publish(SERVICE_TOPIC, 'online', { qos: 1, retain: true }, () => undefined);
      void this.#subscribeAll(client);
      if (!this.#everConnected) void this.#lookWhoMayEnter();
      this.#everConnected = true;
    });
    client.on('close', () => {
      if (this.#connected) this.#tell({ kind: 'disconnected' });
      this.#connected = false;
      this.#goOn();
      // Old brokers refuse MQTT 5, some without a word. Whatever is answered first stays.
      if (!this.#everConnected) client.options.protocolVersion = client.options.protocolVersion === 5 ? 4 : 5;
    });
    client.on('error', (error) => {
      this.#lastError = refusedWords(error, this.#options.credentials?.ca !== undefined);
    });
    this.#client = client;
    // Handlers stand before the connection: a persistent session delivers at once.
    client.connect();
    return Promise.resolve();
  }

  #connectOptions(): IClientOptions {
    return {
      ...this.#options.credentials,
      rejectUnauthorized: true,
      clientId: this.#options.clientId,
      clean: false,
      protocolVersion: 5,
      properties: { sessionExpiryInterval: SESSION_EXPIRY_S, receiveMaximum: RECEIVE_MAXIMUM },
      reconnectPeriod: this.#options.reconnectMs ?? RECONNECT_MS,
      // Without it a broker that refuses once ("server unavailable") is never asked again.
      reconnectOnConnackError: true,
      connectTimeout: 10_000,
      queueQoSZero: false,
      resubscribe: false,
      manualConnect: true,
      outgoingStore: new ForgetfulStore(),
      will: { topic: SERVICE_TOPIC, payload: Buffer.from('offline'), qos: 1, retain: true },
    };
  }

  #take(client: MqttClient, packet: IPublishPacket, receive: Receive, callback: (error?: Error) => void): void {
    const { messageId, topic, qos } = packet;
    const payload = typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload;
    if (SYS_TOPICS.includes(topic)) {
      const news = sysNews(topic, payload.toString());
      if (news !== null) this.#tell(news);
      callback();
      return;
    }
    const connection = this.#connection;
    this.#held += 1;
    receive({ topic, payload, retained: packet.retain, qos }, (error) => {
      if (this.#connection !== connection || !this.#connected) return;
      this.#held -= 1;
      if (error !== null) {
        // Not kept: break off, so that the broker delivers it again when we are back. Like any broken connection it is mended
        // after a pause, so a full disk does not make us connect without end.
        this.#lastError = error.message;
        this.#connected = false;
        this.#tell({ kind: 'disconnected' });
        client.stream.destroy();
        return;
      }
      if (qos === 1 && messageId !== undefined) this.#acknowledge(client, messageId);
      if (this.#held < HELD_MAX) this.#goOn();
    });
    const readOn = () => callback(qos === 1 ? HELD : undefined);
    // When leaving, the answer to our farewell must still be read.
    if (this.#held < HELD_MAX || this.#client === null) readOn();
    else this.#readOn = readOn;
  }

  /** All that one sync made safe is acknowledged in one write. */
  #acknowledge(client: MqttClient, messageId: number): void {
    this.#safe.push(messageId);
    if (this.#safe.length > 1) return;
    const connection = this.#connection;
    queueMicrotask(() => {
      const ids = this.#safe;
      this.#safe = [];
      if (this.#connection !== connection || !this.#connected) return;
      client.stream.write(Buffer.from(ids.flatMap((id) => [PUBACK, 2, id >> 8, id & 0xff])));
    });
  }

  #goOn(): void {
    const readOn = this.#readOn;
    this.#readOn = null;
    readOn?.();
  }

  async #subscribeAll(client: MqttClient): Promise<void> {
    await this.#subscribe(client, this.#filters);
    await this.#forgetGone(client);
    // Not every broker has these, and not every one shows them to us.
    await client.subscribeAsync([...SYS_TOPICS], { qos: 0 }).catch(() => undefined);
  }

  async #subscribe(client: MqttClient, filters: readonly string[]): Promise<void> {
    try {
      // Retain handling 1: what we have heard already is not told again. MQTT 3.1.1 has no such thing.
      const granted = await client.subscribeAsync([...filters], { qos: 1, rh: 1 });
      if (granted.length > 0) this.#tell({ kind: 'granted', qos: grantedLeast(granted) });
    } catch (error) {
      this.#lastError = `cannot subscribe: ${(error as Error).message}`;
      this.#tell({ kind: 'granted', qos: 128 });
    }
  }

  async #lookWhoMayEnter(): Promise<void> {
    const isAllowed = await letsAnybodyIn(this.#options.url, this.#options.credentials ?? {});
    if (isAllowed !== null) this.#tell({ kind: 'anonymous', isAllowed });
  }

  async listenTo(filters: readonly string[]): Promise<void> {
    for (const filter of this.#filters) if (!filters.includes(filter)) this.#gone.add(filter);
    for (const filter of filters) this.#gone.delete(filter);
    this.#filters = filters;
    const client = this.#client;
    if (client === null || !this.#connected) return;
    await this.#subscribe(client, filters);
    await this.#forgetGone(client);
  }

  async #forgetGone(client: MqttClient): Promise<void> {
    if (this.#gone.size === 0) return;
    const gone = [...this.#gone];
    try {
      await client.unsubscribeAsync(gone);
      for (const filter of gone) this.#gone.delete(filter);
    } catch {
      // At the next connection again.
    }
  }

  publish(topic: string, payload: string, retain: boolean): void {
    // While away, states grow old: the next tick publishes newer ones after reconnecting.
    if (!this.#connected) return;
    this.#client?.publish(topic, payload, { qos: 1, retain }, () => undefined);
  }

  trouble(): string | null {
    return this.#connected ? null : `no connection to the MQTT broker: ${this.#lastError}`;
  }

  async stop(): Promise<void> {
    const client = this.#client;
    if (client === null) return;
    this.#client = null;
    this.#goOn();
    if (this.#connected) {
      await client.publishAsync(SERVICE_TOPIC, 'offline', { qos: 1, retain: true }).catch(() => undefined);
    }
    await client.endAsync(true).catch(() => undefined);
  }
}

/** A refusal is above every quality of service, and counts as the least. */
function grantedLeast(granted: readonly { readonly qos: number }[]): number {
  const levels = granted.map(({ qos }) => qos);
  return levels.find((qos) => qos >= 128) ?? Math.min(...levels);
}
