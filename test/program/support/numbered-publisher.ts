import mqtt, { type MqttClient, Store } from 'mqtt';

/** Messages that may wait for their acknowledgement; further ones are not sent until some were answered. */
const OUTSTANDING_MAX = 500;
const TICK_MS = 5;

export const NUMBERED_TOPIC = 'probes/one/beer-temperature';
export const NUMBERED_PROBE = 'one.beer-temperature';

/** The value that number n carries, so that a wrong pairing of time and value shows. */
export const numberedValue = (n: number): number => (n % 2000) / 100;

/** Keeps nothing: mqtt.js sends what its store holds one at a time after connecting, and can get stuck in it. */
class NothingKept extends Store {
  override put(...[, done]: Parameters<Store['put']>): this {
    done?.();
    return this;
  }

  override del(...[packet, done]: Parameters<Store['del']>): this {
    done(undefined, packet as Parameters<typeof done>[1]);
    return this;
  }
}

/**
 * A probe that numbers its readings: number n is measured n steps after `baseMs`. It publishes at QoS 1 and sends again what
 * was not acknowledged, on the next connection.
 */
export class NumberedPublisher {
  readonly baseMs: number;
  readonly acknowledged = new Set<number>();
  readonly #client: MqttClient;
  readonly #stepMs: number;
  readonly #unanswered = new Set<number>();
  #sent = 0;
  #timer: NodeJS.Timeout | null = null;

  constructor(url: string, baseMs: number, stepMs = 1) {
    this.#stepMs = stepMs;
    this.baseMs = baseMs;
    const clientId = `numbered-${process.pid}-${Math.random().toString(36).slice(2, 8)}`;
    const outgoingStore = new NothingKept();
    this.#client = mqtt.connect(url, { clientId, outgoingStore, reconnectPeriod: 40, connectTimeout: 3000 });
    this.#client.on('error', () => undefined);
    this.#client.on('connect', () => {
      for (const n of this.#unanswered) this.#publish(n);
    });
  }

  get stepMs(): number {
    return this.#stepMs;
  }

  get sent(): number {
    return this.#sent;
  }

  /** Publishes so many a second until `pause`, as long as it is answered. */
  run(perSecond: number): void {
    let due = 0;
    this.#timer = setInterval(() => {
      due = Math.min(OUTSTANDING_MAX, due + (perSecond * TICK_MS) / 1000);
      for (; due >= 1 && this.#unanswered.size < OUTSTANDING_MAX; due -= 1) this.publish();
    }, TICK_MS);
  }

  publish(): void {
    const n = this.#sent;
    this.#sent += 1;
    this.#unanswered.add(n);
    if (this.#client.connected) this.#publish(n);
  }

  #publish(n: number): void {
    const payload = JSON.stringify({
      value: numberedValue(n),
      time: new Date(this.baseMs + n * this.#stepMs).toISOString(),
    });
    this.#client.publish(NUMBERED_TOPIC, payload, { qos: 1 }, (error) => {
      if (error !== undefined && error !== null) return;
      this.#unanswered.delete(n);
      this.acknowledged.add(n);
    });
  }

  pause(): void {
    if (this.#timer !== null) clearInterval(this.#timer);
    this.#timer = null;
  }

  async close(): Promise<void> {
    this.pause();
    await this.#client.endAsync(true);
  }
}
