import { readFileSync } from 'node:fs';
import { hostname } from 'node:os';
import type { DatabaseSync } from 'node:sqlite';
import { EmbeddedBroker } from './adapters/broker/embedded-broker.ts';
import { randomIds } from './adapters/clock/random-ids.ts';
import type { BrokerCredentials } from './adapters/mqtt/mqtt-broker.ts';
import { NodeSecrets } from './adapters/secrets/node-secrets.ts';
import { SqliteAccessStore } from './adapters/sqlite/sqlite-access-store.ts';
import { SqliteMqttUsers } from './adapters/sqlite/sqlite-mqtt-users.ts';
import { Access } from './app/access.ts';
import { UserBrokerDoor } from './app/broker-door.ts';
import { ConfigError } from './config/load.ts';
import type { Settings } from './config/schema.ts';
import type { LiveHub } from './http/live-hub.ts';
import type { Broker } from './ports/broker.ts';
import type { Clock } from './ports/clock.ts';
import type { Log } from './ports/log.ts';

/** How often open pages are held against who is still in (ms): a page must be gone within a second. */
const PUT_OUT_EVERY_MS = 400;

interface Outside {
  readonly settings: Settings;
  readonly database: DatabaseSync;
  readonly clock: Clock;
  readonly log: Log;
}

/** Who may come in, and what the HTTP side needs to ask it. */
export function accessParts({ settings, database, clock, log }: Outside) {
  const { http } = settings;
  const secrets = new NodeSecrets();
  const store = new SqliteAccessStore(database);
  const localKey = secrets.newToken();
  const isOpenToOthers = !isLoopback(http.host);
  const isClaimed = store.passphrases().has('owner');
  const claimToken = http.firstRun && !isClaimed && isOpenToOthers ? secrets.newTypedToken() : null;
  const access = new Access({
    store,
    secrets,
    clock,
    log,
    newId: randomIds,
    trustNetwork: http.trustNetwork,
    claimToken,
    localKey,
  });
  const guard = {
    access,
    names: ownNames(settings),
    alwaysSecure: http.publicUrl?.startsWith('https:') ?? false,
    monotonicMs: () => clock.monotonicMs(),
  };
  return {
    access,
    localKey,
    claimToken,
    http: { guard, trustedProxies: listed(http.trustedProxies), tls: certificate('http', http) },
    /** Why the service must not start as it is set up; empty if it may. */
    refusals: exposures(settings, isClaimed, new SqliteMqttUsers(database).all().length > 0),
    /** Closes the connections of those who are put out; gives what stops that. */
    watchConnections: (hub: LiveHub, broker: Broker) =>
      clock.every(PUT_OUT_EVERY_MS, () => {
        hub.putOut((caller) => access.isStillIn(caller));
        if (broker instanceof EmbeddedBroker) broker.putOut();
      }),
  };
}

/** Without a passphrase nobody but this machine may come in, unless the owner says that something else keeps guard. */
function exposures({ http, mqtt }: Settings, isClaimed: boolean, hasMqttUsers: boolean): readonly string[] {
  const refusals: string[] = [];
  if (http.trustNetwork) return refusals;
  const door = 'or set http.trustNetwork = true where something else keeps strangers out';
  if (!isLoopback(http.host) && !isClaimed && !http.firstRun) {
    refusals.push(
      `http.host: ${http.host} can be reached from other machines and no passphrase is set; set one with quietkeg passphrase, start once with --http-first-run true to set it from a browser, use 127.0.0.1, ${door}`,
    );
  }
  const listening = [
    ['mqtt.host', mqtt.host],
    ...(mqtt.tlsPort === null ? [] : [['mqtt.tlsHost', mqtt.tlsHost] as const]),
  ] as const;
  for (const [name, host] of listening) {
    if (mqtt.url !== null || isLoopback(host) || hasMqttUsers) continue;
    refusals.push(
      `${name}: ${host} can be reached from other machines and no user of the broker is known; make one with quietkeg mqtt-user NAME, use 127.0.0.1, ${door}`,
    );
  }
  return refusals;
}

/** Names under which people reach us, in lower case. */
function ownNames({ http }: Settings): readonly string[] {
  const machine = hostname().toLowerCase();
  const published = http.publicUrl === null ? [] : [new URL(http.publicUrl).hostname.toLowerCase()];
  const [short = machine] = machine.split('.');
  return [...listed(http.names).map((name) => name.toLowerCase()), ...published, machine, `${short}.local`, short];
}

function listed(text: string): readonly string[] {
  return text
    .split(',')
    .map((one) => one.trim())
    .filter((one) => one !== '');
}

function isLoopback(host: string): boolean {
  return /^(127\.\d+\.\d+\.\d+|::1|localhost)$/.test(host);
}

interface TlsFiles {
  readonly tlsCert: string | null;
  readonly tlsKey: string | null;
}

/** Certificate and key; null if none are set. Throws `ConfigError`. */
function certificate(section: 'http' | 'mqtt', { tlsCert, tlsKey }: TlsFiles) {
  if (tlsCert === null && tlsKey === null) return null;
  if (tlsCert === null || tlsKey === null)
    throw new ConfigError([`${section}.tlsCert and ${section}.tlsKey go together; set both or none`]);
  return { cert: fileText(`${section}.tlsCert`, tlsCert), key: fileText(`${section}.tlsKey`, tlsKey) };
}

function fileText(name: string, path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    throw new ConfigError([`${name}: ${path} cannot be read (${(error as NodeJS.ErrnoException).code})`]);
  }
}

/** The embedded broker's door and its encrypted listener. */
export function brokerAccess({ settings, database, clock, log }: Outside) {
  const { mqtt, http } = settings;
  const files = certificate('mqtt', mqtt);
  if (mqtt.tlsPort !== null && files === null)
    throw new ConfigError(['mqtt.tlsPort: needs mqtt.tlsCert and mqtt.tlsKey']);
  return {
    door: new UserBrokerDoor({
      users: new SqliteMqttUsers(database),
      secrets: new NodeSecrets(),
      clock,
      log,
      trustNetwork: http.trustNetwork,
    }),
    tls: files === null || mqtt.tlsPort === null ? null : { host: mqtt.tlsHost, port: mqtt.tlsPort, ...files },
  };
}

/** What proves us at a broker elsewhere, and it to us. There is no way not to check it. Throws `ConfigError`. */
export function brokerCredentials({ mqtt }: Settings): BrokerCredentials {
  const { user, passwordFile, caFile } = mqtt;
  return {
    ...(user === null ? {} : { username: user }),
    ...(passwordFile === null ? {} : { password: fileText('mqtt.passwordFile', passwordFile).trim() }),
    ...(caFile === null ? {} : { ca: fileText('mqtt.caFile', caFile) }),
  };
}
