import type { InjectOptions, LightMyRequestResponse } from 'fastify';
import { buildServer, type HttpServer } from '../../src/http/server.ts';
import { World } from './world.ts';

export interface HttpWorld extends HttpServer {
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
export async function anHttpWorld(world?: World): Promise<HttpWorld> {
  const inside = world ?? (await World.make());
  const mistakes: string[] = [];
  const { server, hub } = await buildServer({
    services: inside.services,
    version: '1.2.3',
    dashboardFolder: null,
    onMistake: (error, route) => mistakes.push(`${route}: ${error.message}`),
  });
  return {
    world: inside,
    server,
    hub,
    mistakes,
    ask: (method, path, body) => {
      const url = path.startsWith('/health') || path === '/metrics' ? path : `/api/v1${path}`;
      const options: InjectOptions = { method, url };
      if (body !== undefined) options.payload = body as object;
      return server.inject(options);
    },
  };
}
