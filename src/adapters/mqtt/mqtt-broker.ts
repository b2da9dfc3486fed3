import type { IPublishPacket } from 'mqtt';
import mqtt, { type MqttClient } from 'mqtt';
import { SERVICE_TOPIC } from '../../contract/index.ts';
import type { Broker, Receive } from '../../ports/broker.ts';

export interface MqttBrokerOptions {
  /** mqtt://host:1883 or mqtts://…, user and password in it if needed. */
  readonly url: string;
  /** Must stay the same from start to start: the broker keeps our messages under it. */
  readonly clientId: string;
  /** Pause before connecting anew (ms). */
  readonly reconnectMs?: number;
}

const RECONNECT_MS = 1000;

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
  #filters: readonly string[] = [];
  #connected = false;
  #lastError = 'not connected yet';
  /** Counts connections, so that an acknowledgement never goes to a later one. */
  #connection = 0;

  constructor(options: MqttBrokerOptions) {
    this.#options = options;
  }

  start(filters: readonly string[], receive: Receive): Promise<void> {
    this.#filters = filters;
    const client = mqtt.connect(this.#options.url, {
      clientId: this.#options.clientId,
      clean: false,
      protocolVersion: 4,
      reconnectPeriod: this.#options.reconnectMs ?? RECONNECT_MS,
      connectTimeout: 10_000,
      queueQoSZero: false,
      resubscribe: false,
      manualConnect: true,
      will: { topic: SERVICE_TOPIC, payload: Buffer.from('offline'), qos: 1, retain: true },
    });
    client.handleMessage = (packet, callback) => this.#take(client, packet, receive, callback);
    client.on('connect', () => {
      this.#connection += 1;
      this.#connected = true;
      // On every connection: the broker may have published our last will since.
      client.publish(SERVICE_TOPIC, 'online', { qos: 1, retain: true }, () => undefined);
      void this.#subscribe(client, this.#filters);
    });
    client.on('close', () => {
      this.#connected = false;
    });
    client.on('error', (error) => {
      this.#lastError = error.message;
    });
    this.#client = client;
    // Handlers stand before the connection: a persistent session delivers at once.
    client.connect();
    return Promise.resolve();
  }

  #take(client: MqttClient, packet: IPublishPacket, receive: Receive, callback: (error?: Error) => void): void {
    const connection = this.#connection;
    const { messageId } = packet;
    const payload = typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload;
    receive({ topic: packet.topic, payload, retained: packet.retain }, (error) => {
      if (this.#connection !== connection || !this.#connected) return;
      if (error !== null) {
        // Not kept: break off, so that the broker delivers it again when we are back. Like any broken connection it is mended
        // after a pause, so a full disk does not make us connect without end.
        this.#lastError = error.message;
        this.#connected = false;
        client.stream.destroy();
        return;
      }
      if (packet.qos === 1 && messageId !== undefined) {
        client.stream.write(Buffer.from([PUBACK, 2, messageId >> 8, messageId & 0xff]));
      }
    });
    callback(packet.qos === 1 ? HELD : undefined);
  }

  async #subscribe(client: MqttClient, filters: readonly string[]): Promise<void> {
    try {
      await client.subscribeAsync([...filters], { qos: 1 });
    } catch (error) {
      this.#lastError = `cannot subscribe: ${(error as Error).message}`;
    }
  }

  async listenTo(filters: readonly string[]): Promise<void> {
    const gone = this.#filters.filter((filter) => !filters.includes(filter));
    this.#filters = filters;
    const client = this.#client;
    if (client === null || !this.#connected) return;
    await this.#subscribe(client, filters);
    if (gone.length > 0) await client.unsubscribeAsync(gone).catch(() => undefined);
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
    if (this.#connected) {
      await client.publishAsync(SERVICE_TOPIC, 'offline', { qos: 1, retain: true }).catch(() => undefined);
    }
    await client.endAsync(true).catch(() => undefined);
  }
}
