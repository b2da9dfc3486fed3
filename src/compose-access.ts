import { hostname } from 'node:os';
import type { DatabaseSync } from 'node:sqlite';
import { randomIds } from './adapters/clock/random-ids.ts';
import { NodeSecrets } from './adapters/secrets/node-secrets.ts';
import { SqliteAccessStore } from './adapters/sqlite/sqlite-access-store.ts';
import { Access } from './app/access.ts';
import type { Settings } from './config/schema.ts';
import type { LiveHub } from './http/live-hub.ts';
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
    http: { guard, trustedProxies: listed(http.trustedProxies), tls: null },
    /** Why the service must not start as it is set up; empty if it may. */
    refusals: exposures(settings, isClaimed),
    /** Closes the pages of those who are put out; gives what stops that. */
    watchPages: (hub: LiveHub) => clock.every(PUT_OUT_EVERY_MS, () => hub.putOut((caller) => access.isStillIn(caller))),
  };
}

/** Without a passphrase nobody but this machine may come in, unless the owner says that something else keeps guard. */
function exposures({ http, mqtt }: Settings, isClaimed: boolean): readonly string[] {
  const refusals: string[] = [];
  if (http.trustNetwork) return refusals;
  const door = 'or set http.trustNetwork = true where something else keeps strangers out';
  if (!isLoopback(http.host) && !isClaimed && !http.firstRun) {
    refusals.push(
      `http.host: ${http.host} can be reached from other machines and no passphrase is set; set one with quietkeg passphrase, start once with --http-first-run true to set it from a browser, use 127.0.0.1, ${door}`,
    );
  }
  if (mqtt.url === null && !isLoopback(mqtt.host)) {
    refusals.push(
      `mqtt.host: ${mqtt.host} can be reached from other machines and no passphrase is set; use 127.0.0.1, ${door}`,
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
