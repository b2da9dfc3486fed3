import {
  readingsKeptAgainWords,
  readingsNotKeptWords,
  readingsStoredAgainWords,
  readingsWaitWords,
} from '../alerts/words.ts';
import { BROKER_LANE } from '../domain/delivery/channel.ts';
import { matchesAny } from '../domain/topic-filter.ts';
import type { Broker } from '../ports/broker.ts';
import type { Clock, StopTimer } from '../ports/clock.ts';
import type { Log } from '../ports/log.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { Spool } from '../ports/spool.ts';
import type { ClockWatch } from './clock-watch.ts';
import type { Delivery } from './delivery.ts';
import type { Estimates } from './estimates.ts';
import type { Ingest } from './ingest.ts';
import type { Listening } from './listening.ts';
import type { Monitor } from './monitor.ts';
import type { Outbox } from './outbox.ts';
import { instant } from './present.ts';
import type { Retention } from './retention.ts';
import type { Services } from './services.ts';
import type { Writer } from './writer.ts';

const TICK_MS = 1000;
/** Ticks between two signs of life to the pages. */
const BEAT_TICKS = 10;
/** Readings of each probe that are looked at when starting: enough to know how often it speaks. */
const RESTORED_READINGS = 16;

export interface ServiceOptions {
  readonly clock: Clock;
  readonly log: Log;
  readonly broker: Broker;
  readonly spool: Spool;
  readonly store: ReadingStore;
  readonly writer: Writer;
  readonly ingest: Ingest;
  readonly monitor: Monitor;
  readonly estimates: Estimates;
  readonly listening: Listening;
  readonly retention: Retention;
  readonly outbox: Outbox;
  readonly services: Services;
  /** Topic filter of what is listened to besides the topics of known probes. */
  readonly discover: string;
  readonly clockWatch: ClockWatch;
  readonly delivery: Delivery;
  readonly flushSockets: () => void;
  readonly closeCatalogue: () => void | Promise<void>;
}

/** Starts and stops everything that runs by itself, in the order in which one part needs the other. */
export class Service {
  readonly #options: ServiceOptions;
  #stopTicks: StopTimer = () => undefined;
  #ticks = 0;
  #filters = '';
  #isReleasing = false;
  /** Parts whose last step failed, and of what. */
  readonly #failing = new Map<string, string>();
  /** Kegs whose state changed since it was last published by MQTT. */
  readonly #unpublished = new Set<string>();

  constructor(options: ServiceOptions) {
    this.#options = options;
  }

  async start(): Promise<void> {
    const { spool, writer, ingest, monitor, estimates, broker, clock, services } = this.#options;
    await spool.open((group) => ingest.onGroup(group));
    await this.#restore();
    await this.#restoreTrends();
    await ingest.recover();
    writer.start();
    estimates.start();
    monitor.evaluateAll();
    services.feed.listen((frame) => {
      if (frame.type === 'keg') this.#unpublished.add(frame.state.kegId);
      if (frame.type === 'keg-gone') this.#unpublished.add(frame.kegId);
    });
    for (const { kegId } of services.feed.states()) this.#unpublished.add(kegId);
    // Now that all who listen are there: what a kill left untold.
    services.desk.retell();
    const filters = this.#topicFilters();
    this.#filters = filters.join('\n');
    await broker.start(filters, (message, done) => ingest.receive(message, done));
    this.#publishStates();
    this.#stopTicks = clock.every(TICK_MS, () => this.#tick());
    this.#options.retention.start();
  }

  async stop(): Promise<void> {
    const { broker, writer, spool, store, listening, estimates, delivery, outbox, closeCatalogue } = this.#options;
    this.#stopTicks();
    await outbox.stop();
    await broker.stop();
    await spool.close();
    await writer.stop();
    await estimates.stop();
    await this.#options.retention.stop();
    await store.close();
    this.#step('remembering what was heard', () => listening.flush());
    this.#step('remembering to have been alive', () => delivery.stop());
    await closeCatalogue();
  }

  /** The newest readings of each probe out of the store. A store that is away is not waited for: its news will come. */
  async #restore(): Promise<void> {
    const { store, services, clockWatch, log } = this.#options;
    let newestHeardMs: number | null = null;
    try {
      await store.open();
      for (const { probeId, firstMs } of await store.extents()) {
        const newest = await store.latest(probeId, RESTORED_READINGS);
        newestHeardMs = Math.max(newestHeardMs ?? 0, ...newest.map(({ receivedAtMs }) => receivedAtMs));
        services.probes.restore(probeId, firstMs, newest, services.register.directory());
      }
    } catch (error) {
      log.warn(`past readings cannot be read yet: ${(error as Error).message}`);
    }
    clockWatch.start(newestHeardMs);
  }

  /** What rules look back on. Without it they begin to look now. */
  async #restoreTrends(): Promise<void> {
    const { services, store, log } = this.#options;
    try {
      await services.watch.restore(store);
    } catch (error) {
      log.warn(`rules cannot look back on past readings: ${(error as Error).message}`);
    }
  }

  #tick(): void {
    const { monitor, estimates, listening, services, clock, clockWatch, delivery, ingest, flushSockets } =
      this.#options;
    this.#ticks += 1;
    const isBeat = this.#ticks % BEAT_TICKS === 0;
    this.#step('watching the spool', () => this.#watchSpool());
    this.#step('watching the store', () => this.#watchStore());
    this.#step('watching the clock', () => this.#watchClock());
    // By a wrong clock everything is stale, and nothing would be learned of it.
    if (clockWatch.isTrusted()) {
      this.#step('the estimate', () => estimates.tick());
      this.#step('the fill plans', () => services.fillPlans.tick());
      this.#step('the monitor', () => monitor.tick());
      this.#step('remembering to be alive', () => delivery.tick(ingest.ledger()));
    }
    this.#step('telling people', () => this.#deliver());
    this.#step('remembering what was heard', () => listening.flush());
    this.#step('the live sockets', flushSockets);
    if (isBeat) this.#step('the sign of life', () => services.feed.beat(instant(clock.nowMs())));
    this.#step('publishing states', () => this.#publishStates());
    this.#step('following topics', () => this.#followFilters());
  }

  #deliver(): void {
    const { broker, outbox } = this.#options;
    // A broker that is back need not be waited for.
    if (broker.trouble() === null) outbox.revive(BROKER_LANE);
    outbox.tick();
  }

  /** One part that fails, on a full disk for one, must not keep the others from working. */
  #step(what: string, work: () => void): void {
    try {
      work();
      this.#failing.delete(what);
    } catch (error) {
      const { message, stack } = error as Error;
      if (this.#failing.get(what) === message) return;
      this.#failing.set(what, message);
      this.#options.log.error(`${what} failed: ${stack ?? message}`);
    }
  }

  #watchStore(): void {
    const { writer, services, clock } = this.#options;
    const trouble = writer.trouble();
    services.desk.sample({
      rule: 'readings-wait',
      target: 'store',
      kegId: null,
      finding: trouble === null ? 'over' : 'holds',
      atMs: clock.nowMs(),
      words: readingsWaitWords(trouble ?? '', writer.waiting()),
      endWords: readingsStoredAgainWords(),
    });
  }

  #watchClock(): void {
    const { clockWatch, monitor, ingest, log } = this.#options;
    const { gained, stepMs } = clockWatch.tick();
    if (gained || stepMs !== null) monitor.startAnew();
    if (!clockWatch.isTrusted() || ingest.heldMessages() === 0 || this.#isReleasing) return;
    this.#isReleasing = true;
    ingest
      .release()
      .catch((error: Error) => log.error(`held messages cannot be read yet: ${error.message}`))
      .finally(() => {
        this.#isReleasing = false;
      });
  }

  /** Says aloud when new readings cannot be kept, and looks whether they can be again. */
  #watchSpool(): void {
    const { spool, services, clock } = this.#options;
    const trouble = spool.trouble();
    services.desk.sample({
      rule: 'readings-not-kept',
      target: 'spool',
      kegId: null,
      finding: trouble === null ? 'over' : 'holds',
      atMs: clock.nowMs(),
      words: readingsNotKeptWords(trouble ?? ''),
      endWords: readingsKeptAgainWords(),
    });
    if (trouble !== null) void spool.retry();
  }

  /** At most once a second a keg; while the broker is away the newest state waits. */
  #publishStates(): void {
    const { broker, services } = this.#options;
    if (broker.trouble() !== null) return;
    for (const kegId of this.#unpublished) {
      const state = services.feed.state(kegId);
      // An empty retained message makes the broker forget the topic.
      broker.publish(`quietkeg/${kegId}/state`, state === null ? '' : JSON.stringify(state), true);
    }
    this.#unpublished.clear();
  }

  #topicFilters(): string[] {
    const mapped = this.#options.services.register
      .probes()
      .flatMap(({ topic, availability }) => (availability === null ? topic : [topic, availability.topic]));
    // No topic by two filters: many brokers would deliver it twice.
    const { discover } = this.#options;
    const wide = discover === '#' ? ['#'] : [...new Set(['probes/#', discover])];
    return [...wide, ...new Set(mapped.filter((topic) => !matchesAny(wide, topic)))];
  }

  #followFilters(): void {
    const filters = this.#topicFilters();
    if (filters.join('\n') === this.#filters) return;
    this.#filters = filters.join('\n');
    this.#options.broker.listenTo(filters).catch((error: Error) => {
      this.#options.log.warn(`cannot listen to new topics: ${error.message}`);
    });
  }
}
