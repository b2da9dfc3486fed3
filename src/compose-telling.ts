import type { DatabaseSync } from 'node:sqlite';
import { EmbeddedBroker } from './adapters/broker/embedded-broker.ts';
import { randomChance } from './adapters/clock/random-chance.ts';
import { randomIds } from './adapters/clock/random-ids.ts';
import { publishOnce } from './adapters/mqtt/publish-once.ts';
import { guardedFindAddress } from './adapters/outgoing/find-address.ts';
import { GuardedHttp } from './adapters/outgoing/guarded-http.ts';
import { relayChannel } from './adapters/relay/relay-channel.ts';
import { NodeSecrets } from './adapters/secrets/node-secrets.ts';
import { smtpChannel } from './adapters/smtp/smtp-channel.ts';
import type { SqliteJournal } from './adapters/sqlite/sqlite-journal.ts';
import { SqliteOutboxJournal } from './adapters/sqlite/sqlite-outbox-journal.ts';
import { systemdNotifier } from './adapters/systemd/systemd-notifier.ts';
import { makeVapidKeys, type VapidKeys } from './adapters/web-push/vapid.ts';
import { webPushChannel } from './adapters/web-push/web-push-channel.ts';
import { newWebhookSecret, webhookChannel } from './adapters/webhook/webhook-channel.ts';
import type { Episode } from './alerts/episode.ts';
import { AcknowledgeLinks } from './app/acknowledge-links.ts';
import type { AlertDesk } from './app/alert-desk.ts';
import { brokerChannel } from './app/broker-channel.ts';
import { Canary } from './app/canary.ts';
import { Channels } from './app/channels.ts';
import type { Feed } from './app/feed.ts';
import { Heartbeat } from './app/heartbeat.ts';
import { Outbox } from './app/outbox.ts';
import { presentEpisode } from './app/present.ts';
import type { Register } from './app/register.ts';
import type { SecretBook } from './app/secret-book.ts';
import type { Writer } from './app/writer.ts';
import { brokerCredentials } from './compose-access.ts';
import type { Settings } from './config/schema.ts';
import { secretsOf } from './domain/delivery/channel.ts';
import type { Broker } from './ports/broker.ts';
import type { OpenChannel } from './ports/channel.ts';
import type { Clock } from './ports/clock.ts';
import type { Log } from './ports/log.ts';
import type { OutboxJournal } from './ports/outbox-journal.ts';
import type { ReadingStore } from './ports/reading-store.ts';

/** Where a probe would publish. */
export function brokerUrl({ mqtt }: Settings, broker: Broker): string {
  return mqtt.url ?? `mqtt://${mqtt.host}:${broker instanceof EmbeddedBroker ? broker.port() : mqtt.port}`;
}

/** If systemd started us it hears when we are ready, that we still turn, and that we leave. */
export function watchedBySystemd(clock: Clock, log: Log) {
  const systemd = systemdNotifier(process.env, process.pid, (trouble) => log.warn(trouble));
  let stopTimer = () => {};
  return {
    start() {
      systemd?.tell('READY=1');
      const everyMs = systemd?.watchdogEveryMs ?? null;
      if (everyMs !== null) stopTimer = clock.every(everyMs, () => systemd?.tell('WATCHDOG=1'));
    },
    stop() {
      stopTimer();
      systemd?.tell('STOPPING=1');
    },
  };
}

interface Alerting {
  readonly settings: Settings;
  readonly database: DatabaseSync;
  readonly journal: SqliteJournal;
  readonly register: Register;
  readonly feed: Feed;
  readonly broker: Broker;
  readonly clock: Clock;
  readonly log: Log;
  readonly secrets: SecretBook | undefined;
  readonly desk: () => AlertDesk;
}

/** From a journalled episode to those who are told: pages at once, everybody else through the outbox. */
export function alerting({ settings, database, journal, register, feed, broker, clock, log, secrets, desk }: Alerting) {
  const kept = new SqliteOutboxJournal(database);
  const keys = () => vapidKeys(kept);
  const link = settings.http.publicUrl?.replace(/\/+$/, '') ?? null;
  const acknowledgeLinks = new AcknowledgeLinks({
    keys: kept.keys,
    people: { has: (personId) => outbox.book().people.has(personId) },
    desk,
    secrets: new NodeSecrets(),
    clock,
    log,
    base: link,
  });
  const acknowledgeLink = acknowledgeLinks.linkFor.bind(acknowledgeLinks);
  const site = () => ({ ...register.site(), link, acknowledgeLink });
  const outbox: Outbox = new Outbox({
    journal: kept,
    episodes: journal,
    clock,
    log,
    newId: randomIds,
    chance: randomChance,
    open: channelOpener(settings, clock, broker, keys),
    site,
  });
  secrets?.follow(() => [...outbox.book().channels.values()].flatMap(secretsOf));
  const tell = (episode: Episode) => {
    feed.alert(presentEpisode(episode));
    outbox.take(episode);
  };
  const newSecret = newWebhookSecret;
  const pushKey = () => keys().publicKey;
  const channels = new Channels({ outbox, clock, newId: randomIds, newSecret, site, pushKey });
  return { outbox, tell, answers: { channels, acknowledgeLinks } };
}

/** Made when they are first needed. Browsers know us by them, so they stay. */
function vapidKeys({ keys }: OutboxJournal): VapidKeys {
  const known = keys.all().get('vapid');
  if (known !== undefined) return known;
  const made = makeVapidKeys();
  keys.put('vapid', made);
  return made;
}

/** Everything that goes to an address that somebody entered goes through the same guard. */
function channelOpener(
  { outgoing: { allowLocal } }: Settings,
  clock: Clock,
  broker: Broker,
  keys: () => VapidKeys,
): OpenChannel {
  const findAddress = guardedFindAddress(allowLocal);
  const outgoing = new GuardedHttp({ findAddress, clock });
  return (setting) => {
    switch (setting.kind) {
      case 'mqtt':
        return brokerChannel(broker);
      case 'email':
        return smtpChannel(setting, { findAddress, clock });
      case 'webhook':
        return webhookChannel(setting, outgoing, clock);
      case 'relay':
        return relayChannel(setting, outgoing);
      case 'web-push':
        return webPushChannel(setting, { outgoing, clock, keys });
    }
  };
}

interface Watching {
  readonly settings: Settings;
  readonly clock: Clock;
  readonly log: Log;
  readonly broker: Broker;
  readonly store: ReadingStore;
  readonly outbox: Outbox;
  readonly writer: () => Writer;
}

/** Tries the whole way from a probe to a person, and tells a watcher elsewhere while it works. */
export function watching({ settings, clock, log, broker, store, outbox, writer }: Watching) {
  const { url, everyMin } = settings.heartbeat;
  const canary = new Canary({
    clock,
    publish: (topic, payload) =>
      publishOnce(
        brokerUrl(settings, broker),
        `${settings.mqtt.clientId}-canary`,
        topic,
        payload,
        settings.mqtt.url === null ? {} : brokerCredentials(settings),
      ),
    stored: () => writer().stored(),
    latest: (probeId, count) => store.latest(probeId, count),
    deliveryTrouble: () => outbox.trouble(),
  });
  if (url === null) return { canary, heartbeat: null };
  const outgoing = new GuardedHttp({ findAddress: guardedFindAddress(settings.outgoing.allowLocal), clock });
  const round = () => canary.round();
  return { canary, heartbeat: new Heartbeat({ clock, log, outgoing, round, url, everyMs: everyMin * 60_000 }) };
}
