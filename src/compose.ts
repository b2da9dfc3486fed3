import { accessSync, constants } from 'node:fs';
import { join, resolve } from 'node:path';
import type { DatabaseSync } from 'node:sqlite';
import { fileURLToPath } from 'node:url';
import { EmbeddedBroker } from './adapters/broker/embedded-broker.ts';
import { randomIds } from './adapters/clock/random-ids.ts';
import { systemClock, systemRandom } from './adapters/clock/system-clock.ts';
import { InfluxEstimateStore } from './adapters/influx/influx-estimate-store.ts';
import { InfluxReadingStore } from './adapters/influx/influx-reading-store.ts';
import { textLog } from './adapters/log/text-log.ts';
import { MqttBroker } from './adapters/mqtt/mqtt-broker.ts';
import { jsonPayloadDecoder } from './adapters/payload/json-payload-decoder.ts';
import { FileSpool } from './adapters/spool/file-spool.ts';
import { FolderHeldError, lockFolder, noteAddress } from './adapters/sqlite/folder-lock.ts';
import { openCatalogueFile, SqliteCatalogue } from './adapters/sqlite/sqlite-catalogue.ts';
import { SqliteEstimateStore } from './adapters/sqlite/sqlite-estimate-store.ts';
import { SqliteJournal } from './adapters/sqlite/sqlite-journal.ts';
import { SqliteReadingStore } from './adapters/sqlite/sqlite-reading-store.ts';
import { alertParts } from './app/alert-parts.ts';
import { BrokerWatch } from './app/broker-watch.ts';
import { type Canary, withCanary } from './app/canary.ts';
import { ClockWatch } from './app/clock-watch.ts';
import { CurveQuery } from './app/curve.ts';
import type { ProbeReading } from './app/decode.ts';
import { Delivery } from './app/delivery.ts';
import type { Devices, DevicesOptions } from './app/devices.ts';
import { EstimateArchive } from './app/estimate-archive.ts';
import { estimateModel } from './app/estimate-model.ts';
import { Estimates } from './app/estimates.ts';
import { Feed } from './app/feed.ts';
import type { FillPlans } from './app/fill-plans.ts';
import { GasChecks } from './app/gas-check.ts';
import { type Heartbeat, NO_HEARTBEAT } from './app/heartbeat.ts';
import { Ingest } from './app/ingest.ts';
import { KegChanges } from './app/keg-changes.ts';
import { KegExport } from './app/keg-export.ts';
import { KegImport } from './app/keg-import.ts';
import { Learning } from './app/learning.ts';
import { Listening } from './app/listening.ts';
import { LiveProbes } from './app/live-probes.ts';
import { Monitor } from './app/monitor.ts';
import { PastPressure } from './app/past-pressure.ts';
import { PlaceChanges } from './app/place-changes.ts';
import { probeParts } from './app/probe-parts.ts';
import { Register } from './app/register.ts';
import type { SecretBook } from './app/secret-book.ts';
import { Service } from './app/service.ts';
import type { Services } from './app/services.ts';
import { WhatIf } from './app/what-if.ts';
import { Writer } from './app/writer.ts';
import { accessParts, brokerAccess, brokerCredentials } from './compose-access.ts';
import { fillImport, filling, fillShelf } from './compose-fills.ts';
import { backupBeforeUpdate, LiveSettings, oldReadings, operations, secretBook, seriesLimit } from './compose-ops.ts';
import { planning } from './compose-plan.ts';
import { alerting, brokerUrl, watchedBySystemd, watching } from './compose-telling.ts';
import type { Settings } from './config/schema.ts';
import { makeFolder, refuseHalfRestored } from './data-folder.ts';
import { startDemo } from './demo.ts';
import { buildServer, type HttpServer } from './http/server.ts';
import type { Broker } from './ports/broker.ts';
import type { Clock } from './ports/clock.ts';
import type { EstimateStore } from './ports/estimate-store.ts';
import type { Log } from './ports/log.ts';
import type { ReadingStore } from './ports/reading-store.ts';
import { StartError } from './start-error.ts';

export { StartError };

export interface ProgramOptions {
  readonly settings: Settings;
  readonly demo: boolean;
  readonly version: string;
  readonly writeLog: (line: string) => void;
  /** Reads the settings anew; throws if one is wrong. */
  readonly readSettings?: () => Settings;
  /** Calls back whenever somebody asks for the settings to be read again. */
  readonly onReload?: (read: () => void) => void;
}

export interface Program {
  /** Where the dashboard is. */
  readonly address: string;
  /** What sets the first passphrase from another machine; null if it is not needed. */
  readonly claimToken: string | null;
  /** Port of the embedded broker; null with a broker elsewhere. */
  readonly mqttPort: number | null;
  /** Stops in order; false if that took too long and the rest was left. */
  stop(): Promise<boolean>;
}

/** Longest that an orderly stop may take (ms). */
const STOP_MS_MAX = 4500;
const DASHBOARD_FOLDER = fileURLToPath(new URL('../web/dist', import.meta.url));

/** Starts the whole program. Throws `StartError` where the set-up is at fault. */
export async function startProgram(options: ProgramOptions): Promise<Program> {
  const { demo, version, writeLog } = options;
  const clock = systemClock;
  const secrets = secretBook(options.settings);
  const log = textLog(clock, writeLog, (text) => secrets.hide(text));
  const live = new LiveSettings(options.settings, log);
  const settings = live.view;
  const unlock = claimFolder(settings.data);
  await backupBeforeUpdate({ settings, version, clock, log });
  const basis = { settings, version, clock, log, secrets };
  const { service, services, http, broker, ingest, heartbeat, nightly, door } = await compose(basis);
  const systemd = watchedBySystemd(clock, log);
  const stopPuttingOut = door.watchConnections(http.hub, broker);
  const close = async () => {
    heartbeat?.stop();
    await nightly.stop();
    systemd.stop();
    stopPuttingOut();
    await http.server.close();
    await service.stop();
    unlock();
  };
  try {
    await explained('mqtt', settings.mqtt, () => service.start());
    const address = await explained('http', settings.http, () =>
      http.server.listen({ host: settings.http.host, port: settings.http.port }),
    );
    noteAddress(settings.data, address, door.localKey);
    const mqttPort = broker instanceof EmbeddedBroker ? broker.port() : null;
    const mqttUrl = brokerUrl(settings, broker);
    const stopDemo = demo ? await startDemo({ services, ingest, clock, log, mqttUrl, folder: settings.data }) : null;
    heartbeat?.start();
    nightly.start();
    options.onReload?.(() => live.reload(options.readSettings ?? (() => options.settings)));
    systemd.start();
    const stop = () =>
      inTime(clock, async () => {
        await stopDemo?.();
        await close();
      });
    return { address: `${address}/`, mqttPort, claimToken: door.claimToken, stop };
  } catch (error) {
    await inTime(clock, close);
    throw error;
  }
}

/** Makes the folder and holds it for this process. Throws `StartError`, with `FolderHeldError` as its cause if it is held. */
export function claimFolder(folder: string): () => void {
  try {
    makeFolder(resolve(folder));
    accessSync(folder, constants.R_OK | constants.W_OK | constants.X_OK);
  } catch (error) {
    throw new StartError(
      `the data folder ${folder} cannot be written (${(error as NodeJS.ErrnoException).code}); make it writable, or choose another with --data`,
      { cause: error },
    );
  }
  refuseHalfRestored(folder);
  try {
    return lockFolder(folder);
  } catch (error) {
    const what = error instanceof FolderHeldError ? '' : `the folder ${folder} cannot be held: `;
    throw new StartError(`${what}${(error as Error).message}`, { cause: error });
  }
}

/** Runs a step that takes a port, and says in words why it could not. */
async function explained<T>(
  section: 'http' | 'mqtt',
  { host, port }: { host: string; port: number },
  step: () => Promise<T>,
): Promise<T> {
  try {
    return await step();
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    const option = `--${section}-port`;
    if (code === 'EADDRINUSE')
      throw new StartError(`port ${port} on ${host} is taken; stop what uses it, or choose another with ${option}`, {
        cause: error,
      });
    if (code === 'EACCES')
      throw new StartError(
        `port ${port} on ${host} is not allowed to this user; choose one above 1023 with ${option}`,
        { cause: error },
      );
    if (code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND')
      throw new StartError(`${host} is no address of this machine; choose another with --${section}-host`, {
        cause: error,
      });
    throw error;
  }
}

async function inTime(clock: Clock, work: () => Promise<void>): Promise<boolean> {
  const late = new Promise<false>((resolve) => clock.after(STOP_MS_MAX, () => resolve(false)));
  return Promise.race([work().then(() => true), late]);
}

export interface ComposeOptions {
  readonly settings: Settings;
  readonly version: string;
  readonly clock: Clock;
  readonly log: Log;
  /** Learns of what the log must not tell. */
  readonly secrets?: SecretBook;
}

export interface Parts {
  readonly service: Service;
  readonly services: Services;
  readonly http: HttpServer;
  readonly broker: Broker;
  readonly ingest: Ingest;
  /** Null unless somebody elsewhere watches us. */
  readonly heartbeat: Heartbeat | null;
  readonly nightly: ReturnType<typeof operations>['nightly'];
  readonly door: ReturnType<typeof accessParts>;
}

/** Builds the whole program: adapters at the edge, the application in the middle, HTTP in front. Nothing runs yet. */
export async function compose({ settings, version, clock, log, secrets }: ComposeOptions): Promise<Parts> {
  const basis = { settings, clock, log };
  const outside = adapters(settings, clock, log);
  const { database, catalogue, journal, spool, store, broker, estimateParts } = outside;
  const register = new Register(catalogue, settings.altitudeM);
  const probes = LiveProbes.following(register);
  const feed = new Feed();
  const desk = () => alerts.desk;
  const { outbox, tell, answers } = alerting({ ...basis, ...outside, register, feed, secrets, desk });
  const estimates: Estimates = new Estimates({
    clock,
    log,
    register,
    probes,
    store,
    ...estimateParts,
    model: estimateModel,
    stored: () => writer.stored(),
    breathe,
    onOutput: (kegId) => monitor.reconsider(kegId),
  });
  const fillPlans = planning({ database, register, estimates, probes, clock, log });
  const listening = new Listening(journal);
  const known = { register, probes, listening, clock, log };
  const changing = changes(known);
  const { canary, heartbeat } = watching({ ...basis, broker, store, outbox, writer: () => writer });
  const { nightly, health, machine } = operations({ ...basis, services: () => services });
  const alerts = alertParts({ journal, ...known, store, health, breathe, tell });
  const seen = { ...known, feed, watch: alerts.watch };
  const onMistake = (error: Error, where: string) => log.error(`mistake in ${where}: ${error.stack ?? error.message}`);
  const monitor: Monitor = new Monitor({ ...seen, journal, estimates, fillPlans, onMistake });
  const accept = (readings: readonly ProbeReading[]) => {
    monitor.accept(readings);
    estimates.accept(readings);
  };
  const receiving = receivingParts({ ...outside, ...known, ...changing, settings, canary, accept });
  const { writer, ingest, delivery } = receiving.parts;

  const asked = questions({ register, probes, store, estimates, delivery, clock, verdicts: journal });
  const services: Services = {
    register,
    probes,
    feed,
    ...alerts,
    monitor,
    listening,
    ...asked,
    ...filling({ database, register, feed, verdicts: journal, monitor, estimates, curve: asked.curve, clock, log }),
    estimates,
    fillPlans,
    ...answers,
    ...changing,
    heartbeat: () => heartbeat?.report() ?? NO_HEARTBEAT,
    ...transfers({ database, register, fillPlans, store, clock, accept }),
    nowMs: () => clock.nowMs(),
    ...receiving.answers,
    machine,
  };
  const door = accessParts({ settings, database, clock, log });
  if (door.refusals.length > 0) throw new StartError(door.refusals.join('\n'));
  const http = await buildServer({ services, version, dashboardFolder: DASHBOARD_FOLDER, onMistake, ...door.http });
  const service = new Service({
    ...known,
    broker,
    spool,
    ...receiving.parts,
    monitor,
    estimates,
    retention: oldReadings({ ...basis, register, store }),
    outbox,
    services,
    // The embedded broker is ours alone, so everything on it may be meant for us.
    discover: settings.mqtt.url === null ? '#' : settings.mqtt.discover,
    flushSockets: () => http.hub.flush(),
    closeCatalogue: () => estimateParts.close().finally(() => database.close()),
  });
  return { service, services, http, broker, ingest, heartbeat, nightly, door };
}

interface ReceivingOutside extends ReturnType<typeof adapters> {
  readonly settings: Settings;
  readonly register: Register;
  readonly probes: LiveProbes;
  readonly listening: Listening;
  readonly clock: Clock;
  readonly log: Log;
  readonly canary: Canary;
  readonly devices: Devices;
  readonly accept: (readings: readonly ProbeReading[]) => void;
}

/** What takes messages, brings their readings into the store, and knows how surely that goes. */
function receivingParts(outside: ReceivingOutside) {
  const { broker, spool, store, journal, settings, register, probes, clock, log } = outside;
  const clockWatch = new ClockWatch(clock, journal, log);
  const brokerWatch = new BrokerWatch(clock, journal, log);
  broker.watch((news) => brokerWatch.hear(news));
  const delivery = new Delivery({ clock, journal, brokerWatch, brokerElsewhere: settings.mqtt.url !== null });
  const writer: Writer = new Writer({
    ...outside,
    decode: (record) => ingest.readingsOf(record),
    refuse: (refused) => ingest.refuse(refused),
    random: systemRandom,
  });
  const ingest: Ingest = new Ingest({
    ...outside,
    writer,
    decoder: jsonPayloadDecoder,
    directory: () => withCanary(register.directory()),
    stamps: clockWatch,
    heard: delivery.heard.bind(delivery),
    aside: (message) => outside.devices.take(message),
    admit: seriesLimit(register, probes),
    accept: (all) => {
      const readings = outside.canary.takeOwn(all);
      delivery.readings(readings);
      outside.accept(readings);
    },
  });
  const health = () => ({
    broker: broker.trouble(),
    spool: spool.trouble(),
    store: writer.trouble(),
    clock: clockWatch.trouble(),
  });
  const answers = {
    health,
    ledger: () => ingest.ledger(),
    deliveryReport: () =>
      delivery.report({
        ledger: ingest.ledger(),
        health: health(),
        heldMessages: ingest.heldMessages(),
        probes: probes.all().map(({ probe }) => probe),
      }),
    gapCounts: () => delivery.gapCounts(),
  };
  return { parts: { store, clockWatch, delivery, writer, ingest }, answers };
}

/** Lets whatever waits have its turn. */
const breathe = () => new Promise<void>((resolve) => setImmediate(resolve));

interface Asked {
  readonly register: Register;
  readonly probes: LiveProbes;
  readonly store: ReadingStore;
  readonly estimates: Estimates;
  readonly delivery: Delivery;
  readonly clock: Clock;
  readonly verdicts: SqliteJournal;
}

/** Those parts by which people change what is kept. */
function changes(known: DevicesOptions) {
  const { register, clock } = known;
  return {
    ...probeParts(known),
    placeChanges: new PlaceChanges(register),
    kegChanges: new KegChanges(register, clock, randomIds),
  };
}

/** Those parts that only answer. */
function questions({ register, probes, store, estimates, delivery, clock, verdicts }: Asked) {
  const nowMs = () => clock.nowMs();
  const pressures = new PastPressure(register, probes, store);
  const history = estimates.history.bind(estimates);
  return {
    curve: new CurveQuery({ register, probes, store, history, verdicts, marks: delivery.marks.bind(delivery) }),
    learning: new Learning(register, estimates, clock),
    whatIf: new WhatIf({ register, estimates, model: estimateModel, nowMs }),
    gasChecks: new GasChecks({ register, estimates, pressures, nowMs, breathe }),
  };
}

interface Transferred {
  readonly database: DatabaseSync;
  readonly fillPlans: FillPlans;
  readonly register: Register;
  readonly store: ReadingStore;
  readonly clock: Clock;
  readonly accept: (readings: readonly ProbeReading[]) => void;
}

/** Takes the past out and in. */
function transfers({ database, register, fillPlans, store, clock, accept }: Transferred) {
  const nowMs = () => clock.nowMs();
  // The estimates drop by themselves what rests on less than there is now.
  const beforeStoring = () => undefined;
  const keepPlan = fillPlans.bringIn.bind(fillPlans);
  return {
    kegExport: new KegExport(register, store, fillShelf(database)),
    kegImport: new KegImport({
      register,
      store,
      fills: fillImport({ database, register, keepPlan, nowMs }),
      nowMs,
      newId: randomIds,
      beforeStoring,
      accept,
    }),
  };
}

/** What the program keeps things in and hears by. */
function adapters(settings: Settings, clock: Clock, log: Log) {
  const database = openCatalogue(settings.data);
  const catalogue = new SqliteCatalogue(database);
  const journal = new SqliteJournal(database);
  const spool = new FileSpool(join(settings.data, 'spool'), (message) => log.warn(message));
  const store = readingStore(settings);
  const broker: Broker =
    settings.mqtt.url === null
      ? new EmbeddedBroker({
          host: settings.mqtt.host,
          port: settings.mqtt.port,
          ...brokerAccess({ settings, database, clock, log }),
        })
      : new MqttBroker({
          url: settings.mqtt.url,
          clientId: settings.mqtt.clientId,
          credentials: brokerCredentials(settings),
        });
  const estimateParts = estimateStores(settings, log);
  return { database, catalogue, journal, spool, store, broker, estimateParts };
}

/** Estimates go where the readings go; what is put aside for a restart stays on this disk. */
function estimateStores({ data, influx }: Settings, log: Log) {
  const shelf = new SqliteEstimateStore(join(data, 'estimates.sqlite'));
  const store: EstimateStore = influx.url === null ? shelf : new InfluxEstimateStore({ url: influx.url });
  const close = async () => {
    await store.close();
    await shelf.close();
  };
  return { shelf, archive: new EstimateArchive(store, log), close };
}

/** The reading store of the settings, still closed. */
export function readingStore(settings: Settings): ReadingStore {
  const { url } = settings.influx;
  if (url !== null) return new InfluxReadingStore({ url });
  return new SqliteReadingStore({ path: join(settings.data, 'readings.sqlite') });
}

/** Opens the catalogue of a data folder. Throws `StartError`. */
export function openCatalogue(folder: string): DatabaseSync {
  const path = join(folder, 'catalogue.sqlite');
  try {
    return openCatalogueFile(path);
  } catch (error) {
    throw new StartError(`${path}: ${(error as Error).message}`, { cause: error });
  }
}
