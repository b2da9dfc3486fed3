import { Socket } from 'node:net';
import type { InjectOptions, LightMyRequestResponse } from 'fastify';
import { NodeSecrets } from '../../src/adapters/secrets/node-secrets.ts';
import { SqliteAccessStore } from '../../src/adapters/sqlite/sqlite-access-store.ts';
import { Access } from '../../src/app/access.ts';
import type { PageHolder } from '../../src/http/live-hub.ts';
import { buildServer, type HttpServer } from '../../src/http/server.ts';
import { World } from './world.ts';

/** The door as a test wants it; usually that of a machine that listens to itself alone. */
export interface DoorOptions {
  readonly trustNetwork?: boolean;
  readonly claimToken?: string;
  readonly names?: readonly string[];
  readonly trustedProxies?: readonly string[];
  readonly publicUrlIsHttps?: boolean;
  /** The built dashboard; usually none. */
  readonly dashboardFolder?: string;
}

const localSocket = new Socket();
Object.defineProperty(localSocket, 'remoteAddress', { value: '127.0.0.1' });

/** An upgrade as from a browser on the machine itself, and who that is. */
export const LOCAL_UPGRADE = {
  headers: { host: 'localhost' },
  socket: localSocket,
};
export const LOCAL_HOLDER: PageHolder = { caller: { role: 'owner', session: null }, address: '127.0.0.1' };

export const LOCAL_KEY = 'a-key-that-only-those-who-read-our-folder-know';

export interface HttpWorld extends HttpServer {
  readonly access: Access;
  readonly accessStore: SqliteAccessStore;
  readonly world: World;
  /** Mistakes of ours that a request ran into. */
  readonly mistakes: string[];
  ask(
    method: 'GET' | 'PUT' | 'POST' | 'PATCH' | 'DELETE',
    path: string,
    body?: unknown,
  ): Promise<LightMyRequestResponse>;
}

/** The HTTP side before a world of its own; requests need no port. */
export async function anHttpWorld(world?: World, door: DoorOptions = {}): Promise<HttpWorld> {
  const inside = world ?? (await World.make());
  const mistakes: string[] = [];
  const accessStore = new SqliteAccessStore(inside.database);
  let ids = 0;
  const access = new Access({
    store: accessStore,
    secrets: new NodeSecrets(),
    clock: inside.clock,
    log: inside.log.log,
    newId: () => {
      ids += 1;
      return `session-${ids}`;
    },
    trustNetwork: door.trustNetwork ?? false,
    claimToken: door.claimToken ?? null,
    localKey: LOCAL_KEY,
  });
  const { server, hub, routes } = await buildServer({
    services: inside.services,
    version: '1.2.3',
    dashboardFolder: door.dashboardFolder ?? null,
    guard: {
      access,
      names: door.names ?? [],
      alwaysSecure: door.publicUrlIsHttps ?? false,
      monotonicMs: () => inside.clock.monotonicMs(),
    },
    trustedProxies: door.trustedProxies ?? [],
    tls: null,
    onMistake: (error, route) => mistakes.push(`${route}: ${error.message}`),
  });
  return {
    world: inside,
    server,
    hub,
    routes,
    access,
    accessStore,
    mistakes,
    ask: (method, path, body) => {
      const url = path.startsWith('/health') || path === '/metrics' ? path : `/api/v1${path}`;
      const options: InjectOptions = { method, url };
      if (body !== undefined) options.payload = body as object;
      return server.inject(options);
    },
  };
}
