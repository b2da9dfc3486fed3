import type { DatabaseSync } from 'node:sqlite';
import { MemoryReadingStore } from '../../src/adapters/memory/memory-reading-store.ts';
import { jsonPayloadDecoder } from '../../src/adapters/payload/json-payload-decoder.ts';
import { NodeSecrets } from '../../src/adapters/secrets/node-secrets.ts';
import { openCatalogueFile, SqliteCatalogue } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteEstimateStore } from '../../src/adapters/sqlite/sqlite-estimate-store.ts';
import { SqliteFillBook } from '../../src/adapters/sqlite/sqlite-fill-book.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';
import { SqliteOutboxJournal } from '../../src/adapters/sqlite/sqlite-outbox-journal.ts';
import { SqlitePlanStore } from '../../src/adapters/sqlite/sqlite-plan-store.ts';
import { SqliteReadyBook } from '../../src/adapters/sqlite/sqlite-ready-book.ts';
import type { Episode as KeptEpisode } from '../../src/alerts/episode.ts';
import { AcknowledgeLinks } from '../../src/app/acknowledge-links.ts';
import { AfterFills } from '../../src/app/after-fills.ts';
import { alertParts } from '../../src/app/alert-parts.ts';
import { BrokerWatch } from '../../src/app/broker-watch.ts';
import { Channels } from '../../src/app/channels.ts';
import { CleanFills } from '../../src/app/clean-fills.ts';
import { CurveQuery } from '../../src/app/curve.ts';
import { decodeRecord, type ProbeReading } from '../../src/app/decode.ts';
import { Delivery } from '../../src/app/delivery.ts';
import { EstimateArchive } from '../../src/app/estimate-archive.ts';
import { estimateModel } from '../../src/app/estimate-model.ts';
import { Estimates } from '../../src/app/estimates.ts';
import { Feed } from '../../src/app/feed.ts';
import { FillPlans } from '../../src/app/fill-plans.ts';
import { Fills } from '../../src/app/fills.ts';
import { GasChecks } from '../../src/app/gas-check.ts';
import { NO_HEARTBEAT } from '../../src/app/heartbeat.ts';
import { KegChanges } from '../../src/app/keg-changes.ts';
import { KegExport } from '../../src/app/keg-export.ts';
import { KegImport } from '../../src/app/keg-import.ts';
import { Learning } from '../../src/app/learning.ts';
import { Listening } from '../../src/app/listening.ts';
import { LiveProbes } from '../../src/app/live-probes.ts';
import type { MachineTroubles } from '../../src/app/machine-watch.ts';
import { Monitor } from '../../src/app/monitor.ts';
import { Outbox } from '../../src/app/outbox.ts';
import { PastPressure } from '../../src/app/past-pressure.ts';
import { PlaceChanges } from '../../src/app/place-changes.ts';
import { presentEpisode } from '../../src/app/present.ts';
import { probeParts } from '../../src/app/probe-parts.ts';
import { ReadyTimes } from '../../src/app/ready-times.ts';
import { Register } from '../../src/app/register.ts';
import type { Services } from '../../src/app/services.ts';
import { WhatIf } from '../../src/app/what-if.ts';
import { fillImport, fillShelf } from '../../src/compose-fills.ts';
import type { Episode, KegState, LiveFrame } from '../../src/contract/index.ts';
import type { EstimateModel } from '../../src/domain/keg-track-types.ts';
import type { OpenChannel } from '../../src/ports/channel.ts';
import { iso, MINUTE, NOON, SECOND } from './builders.ts';
import { FakeClock } from './fake-clock.ts';
import { keptLog } from './kept-log.ts';
import { until } from './until.ts';

const WELL = { broker: null, spool: null, store: null, clock: null };
/** How people reach the dashboard of a test. */
export const PUBLIC_URL = 'http://keg.test:8420';
const breathe = () => Promise.resolve();

export interface WorldOptions {
  /** Altitude of the settings; null: assumed sea level. */
  readonly altitudeM?: number | null;
  /** The database of an earlier world: what it kept is there. */
  readonly database?: DatabaseSync;
  /** The readings of an earlier world, which it looks through as at a start. */
  readonly store?: MemoryReadingStore;
  readonly clock?: FakeClock;
  /** Estimates of an earlier world. */
  readonly shelf?: SqliteEstimateStore;
  /** True: what is dissolved is estimated, as in the program. */
  readonly estimating?: boolean;
  /** Another model than the program's, as with fewer particles. */
  readonly model?: EstimateModel;
  /** What is wrong with parts of the service; nothing is, if left out. */
  readonly health?: Services['health'];
  /** What stands in the way of the machine. */
  readonly troubles?: () => MachineTroubles;
}

/** The application without sockets and spool, on a clock that stands still: catalogue and journal are the real ones. */
export class World {
  readonly clock: FakeClock;
  readonly database: DatabaseSync;
  readonly store: MemoryReadingStore;
  readonly journal: SqliteJournal;
  readonly services: Services;
  readonly delivery: Delivery;
  readonly brokerWatch: BrokerWatch;
  readonly shelf: SqliteEstimateStore;
  readonly estimates: Estimates;
  readonly #estimating: boolean;
  readonly log = keptLog();
  readonly outbox: Outbox;
  /** What messages go out by; a channel that takes everything until a test puts another one here. */
  openChannel: OpenChannel = () => ({ send: async () => ({ kind: 'taken', answer: 'taken' }) });
  /** Everything that was told to pages, in order. */
  readonly frames: LiveFrame[] = [];
  #ids = 0;

  private constructor(options: WorldOptions) {
    this.clock = options.clock ?? new FakeClock(NOON);
    this.database = options.database ?? openCatalogueFile(':memory:');
    this.store = options.store ?? new MemoryReadingStore();
    const { clock } = this;
    const register = new Register(new SqliteCatalogue(this.database), options.altitudeM ?? null);
    this.journal = new SqliteJournal(this.database);
    const probes = LiveProbes.following(register);
    const feed = new Feed();
    feed.listen((frame) => this.frames.push(frame));
    this.outbox = this.#newOutbox(register);
    const listening = new Listening(this.journal);
    const { journal, store } = this;
    const health = () => ({ ...this.services.health(), ...options.troubles?.() });
    const tell = (episode: KeptEpisode) => this.#tell(feed, episode);
    const alerts = alertParts({ journal, clock, register, probes, store, listening, health, breathe, tell });
    this.shelf = options.shelf ?? new SqliteEstimateStore(':memory:');
    this.#estimating = options.estimating ?? false;
    const estimates: Estimates = new Estimates({
      clock,
      log: this.log.log,
      register,
      probes,
      store: this.store,
      archive: new EstimateArchive(this.shelf, this.log.log),
      shelf: this.shelf,
      model: options.model ?? estimateModel,
      stored: () => Promise.resolve(true),
      breathe: () => new Promise((resolve) => setImmediate(resolve)),
      onOutput: (kegId) => monitor.reconsider(kegId),
    });
    this.estimates = estimates;
    this.brokerWatch = new BrokerWatch(clock, this.journal, this.log.log);
    const { brokerWatch } = this;
    this.delivery = new Delivery({ clock, journal, brokerWatch, brokerElsewhere: true });
    const { watch } = alerts;
    const fillPlans = this.#newFillPlans(register, probes);
    const onMistake = (error: Error) => {
      throw error;
    };
    const seen = { clock, register, probes, feed, watch };
    const monitor: Monitor = new Monitor({ ...seen, journal, estimates, fillPlans, onMistake });
    const nowMs = () => clock.nowMs();
    this.services = {
      register,
      probes,
      feed,
      ...alerts,
      monitor,
      listening,
      ...this.#lookingBack(register, probes, monitor, feed),
      estimates,
      fillPlans,
      learning: new Learning(register, estimates, clock),
      ...this.#forecasts(register, probes, nowMs),
      channels: this.#newChannels(register),
      acknowledgeLinks: this.#newAcknowledgeLinks(),
      heartbeat: () => NO_HEARTBEAT,
      placeChanges: new PlaceChanges(register),
      kegChanges: new KegChanges(register, clock, () => this.#newId()),
      ...probeParts({ register, probes, listening, clock }),
      ...this.#transfers(register, nowMs),
      nowMs,
      health: options.health ?? (() => WELL),
      ledger: () => ({ received: 0, stored: 0, duplicates: 0, rejected: 0, waiting: 0 }),
      deliveryReport: () => {
        const heard = probes.all().map(({ probe }) => probe);
        return this.delivery.report({ ledger: this.services.ledger(), health: WELL, heldMessages: 0, probes: heard });
      },
      gapCounts: () => this.delivery.gapCounts(),
    };
  }

  #forecasts(register: Register, probes: LiveProbes, nowMs: () => number) {
    const pressures = new PastPressure(register, probes, this.store);
    return {
      whatIf: new WhatIf({ register, estimates: this.estimates, model: estimateModel, nowMs }),
      gasChecks: new GasChecks({ register, estimates: this.estimates, pressures, nowMs, breathe }),
    };
  }

  #tell(feed: Feed, episode: KeptEpisode): void {
    feed.alert(presentEpisode(episode));
    this.outbox.take(episode);
  }

  /** The curve, and the fills, which ask it what a keg was like. */
  #lookingBack(register: Register, probes: LiveProbes, monitor: Monitor, feed: Feed) {
    const { clock, store, estimates, database, journal, delivery } = this;
    const curve = new CurveQuery({
      register,
      probes,
      store,
      history: estimates.history.bind(estimates),
      verdicts: journal,
      marks: delivery.marks.bind(delivery),
    });
    const newId = () => this.#newId();
    const book = new SqliteFillBook(database);
    const fills = new Fills({ register, book, monitor, estimates, curve, clock, log: this.log.log, newId });
    const readyTimes = new ReadyTimes({
      book: new SqliteReadyBook(database),
      feed,
      register,
      verdicts: journal,
      clock,
      log: this.log.log,
    });
    const cleanFills = new CleanFills({ register, book, fills });
    return {
      curve,
      readyTimes,
      cleanFills,
      fills,
      afterFills: new AfterFills({ register, book, fills, monitor, clock }),
    };
  }

  #newId(): string {
    this.#ids += 1;
    return `id-${this.clock.nowMs()}-${this.#ids}`;
  }

  #newFillPlans(register: Register, probes: LiveProbes): FillPlans {
    const { clock, estimates, database } = this;
    const newId = () => this.#newId();
    const store = new SqlitePlanStore(database);
    return new FillPlans({ register, estimates, probes, store, clock, newId, log: this.log.log });
  }

  #newOutbox(register: Register): Outbox {
    return new Outbox({
      journal: new SqliteOutboxJournal(this.database),
      episodes: this.journal,
      clock: this.clock,
      log: this.log.log,
      newId: () => this.#newId(),
      chance: () => 0.5,
      open: (setting) => this.openChannel(setting),
      site: () => this.#siteWords(register),
    });
  }

  #siteWords(register: Register) {
    const { acknowledgeLinks } = this.services;
    return { ...register.site(), link: null, acknowledgeLink: acknowledgeLinks.linkFor.bind(acknowledgeLinks) };
  }

  #newAcknowledgeLinks(): AcknowledgeLinks {
    return new AcknowledgeLinks({
      keys: new SqliteOutboxJournal(this.database).keys,
      people: { has: (personId) => this.outbox.book().people.has(personId) },
      desk: () => this.services.desk,
      secrets: new NodeSecrets(),
      clock: this.clock,
      log: this.log.log,
      base: PUBLIC_URL,
    });
  }

  #newChannels(register: Register): Channels {
    return new Channels({
      outbox: this.outbox,
      clock: this.clock,
      newId: () => this.#newId(),
      newSecret: () => 'whsec_bWFkZSBieSBhIHRlc3QgZm9yIGEgdGVzdCwgMzIg',
      site: () => this.#siteWords(register),
      pushKey: () => 'B'.repeat(87),
    });
  }

  static async make(options: WorldOptions = {}): Promise<World> {
    const world = new World(options);
    await world.store.open();
    for (const { probeId, firstMs } of await world.store.extents()) {
      const newest = await world.store.latest(probeId, 16);
      world.services.probes.restore(probeId, firstMs, newest, world.services.register.directory());
    }
    await world.services.watch.restore(world.store);
    world.services.desk.retell();
    if (options.estimating) world.estimates.start();
    world.services.monitor.evaluateAll();
    return world;
  }

  /** What is kept stays; everything in memory is built anew, as when the service starts again `awayMs` later. */
  restart(awayMs = 0): Promise<World> {
    this.clock.advance(awayMs);
    const { database, store, shelf } = this;
    const clock = new FakeClock(this.clock.nowMs());
    return World.make({ database, store, shelf, estimating: this.#estimating, clock });
  }

  /** A message comes in and is decoded, stored and shown; gives the reasons of what was refused. */
  async hear(
    topic: string,
    payload: number | string,
    { retained = false, policy = 'live' as 'live' | 'import' } = {},
  ): Promise<readonly string[]> {
    const message = { topic, payload: Buffer.from(String(payload)), retained };
    if (this.services.devices.take(message)) return [];
    const record = { topic, payload: Buffer.from(String(payload)), receivedAtMs: this.clock.nowMs(), retained, policy };
    const decoded = decodeRecord(record, this.services.register.directory(), jsonPayloadDecoder);
    if (decoded.rejections.length > 0 || decoded.unassigned) {
      this.services.listening.reject(record, decoded.rejections, decoded.unassigned);
    }
    await this.store.append(decoded.readings.map(({ reading }) => reading));
    this.#accept(decoded.readings);
    return decoded.rejections;
  }

  #transfers(register: Register, nowMs: () => number) {
    return {
      kegExport: new KegExport(register, this.store, fillShelf(this.database)),
      kegImport: new KegImport({
        register,
        store: this.store,
        fills: fillImport({
          database: this.database,
          register,
          nowMs,
          keepPlan: (plan) => this.services.fillPlans.bringIn(plan),
        }),
        nowMs,
        newId: () => this.#newId(),
        beforeStoring: () => undefined,
        accept: (readings) => this.#accept(readings),
      }),
    };
  }

  #accept(readings: readonly ProbeReading[]): void {
    this.services.monitor.accept(readings);
    this.delivery.readings(readings);
    this.estimates.accept(readings);
  }

  beer(celsius: number, kegId = 'one') {
    return this.hear(`probes/${kegId}/beer-temperature`, celsius);
  }

  headspace(kpaGauge: number, kegId = 'one') {
    return this.hear(`probes/${kegId}/headspace-pressure`, kpaGauge);
  }

  /** Goes on with a tick a second, as the service does. */
  go(durationMs: number): void {
    for (let left = durationMs; left > 0; left -= SECOND) {
      this.clock.advance(Math.min(left, SECOND));
      this.tick();
    }
  }

  /** Both probes of a keg speak every minute for some minutes. */
  async minutes(count: number, celsius: number, kpaGauge: number, kegId = 'one'): Promise<void> {
    for (let minute = 0; minute < count; minute += 1) {
      this.clock.advance(MINUTE);
      await this.beer(celsius, kegId);
      await this.headspace(kpaGauge, kegId);
      this.tick();
    }
  }

  tick(): void {
    this.estimates.tick();
    this.services.monitor.tick();
  }

  /** All estimates that wait to be computed from the store are. */
  async estimated(): Promise<void> {
    await until('estimates are computed', () => {
      this.tick();
      return this.estimates.pending === 0;
    });
  }

  /** A keg in the catalogue, filled a day ago. */
  fill(kegId = 'one', name = 'Harvest Amber'): string {
    const { kegChanges } = this.services;
    const put = kegChanges.putKeg(kegId, {});
    const at = iso(this.clock.nowMs() - 24 * 60 * MINUTE);
    const started = kegChanges.startBatch(kegId, { name, at, beerState: 'flat', probe: 'thermowell' });
    if (!put.ok || !started.ok) throw new Error('the keg cannot be filled');
    return started.value.batchId;
  }

  state(kegId = 'one'): KegState {
    const state = this.services.feed.state(kegId);
    if (state === null) throw new Error(`nothing is known of ${kegId}`);
    return state;
  }

  /** Alerts as they were told, one line each: rule, state. */
  told(): string[] {
    return this.frames.flatMap((frame) =>
      frame.type === 'alert' ? `${frame.episode.rule} ${frame.episode.state}` : [],
    );
  }

  episodes(): Episode[] {
    return this.services.desk.recent(100).map(presentEpisode);
  }
}
