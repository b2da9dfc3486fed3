import { existsSync } from 'node:fs';
import fastifyStatic from '@fastify/static';
import swagger from '@fastify/swagger';
import websocket from '@fastify/websocket';
import fastify, { type FastifyInstance, type FastifyReply, type FastifyRequest } from 'fastify';
import {
  jsonSchemaTransform,
  serializerCompiler,
  validatorCompiler,
  type ZodTypeProvider,
} from 'fastify-type-provider-zod';
import type { Services } from '../app/services.ts';
import { Guard, type GuardOptions, type Route } from './access/guard.ts';
import { LiveHub } from './live-hub.ts';
import { answerMistakes, HttpProblem, problem, sendProblem } from './problems.ts';
import { accessRoutes } from './routes/access.ts';
import { acknowledgeRoutes } from './routes/acknowledge.ts';
import { alertRoutes } from './routes/alerts.ts';
import { calculateRoutes } from './routes/calculate.ts';
import { channelRoutes } from './routes/channels.ts';
import { deliveryRoutes } from './routes/delivery.ts';
import { entryRoutes } from './routes/entries.ts';
import { fillRoutes } from './routes/fills.ts';
import { gasCheckRoutes } from './routes/gas-check.ts';
import { healthRoutes } from './routes/health.ts';
import { kegRoutes } from './routes/kegs.ts';
import { learningRoutes } from './routes/learning.ts';
import { planRoutes } from './routes/plans.ts';
import { probeRoutes } from './routes/probes.ts';
import type { Api } from './routes/route.ts';
import { ruleRoutes } from './routes/rules.ts';
import { siteRoutes } from './routes/site.ts';
import { transferRoutes } from './routes/transfer.ts';
import { whatIfRoutes } from './routes/what-if.ts';

const BODY_BYTES_MAX = 256 * 1024;
const LIVE_MESSAGE_BYTES_MAX = 4096;
/** All headers of a request together (bytes). */
const HEADER_BYTES_MAX = 16 * 1024;
/** Longest for a request to arrive, and for a connection to stay silent (ms). */
const REQUEST_MS_MAX = 60_000;
const CONNECTIONS_MAX = 1000;

export interface ServerOptions {
  readonly services: Services;
  readonly version: string;
  /** Folder of the built dashboard, or null for none (tests of the API alone). */
  readonly dashboardFolder: string | null;
  readonly onMistake: (error: Error, route: string) => void;
  readonly guard: GuardOptions;
  /** Addresses and networks whose `X-Forwarded-…` headers are believed. */
  readonly trustedProxies: readonly string[];
  /** Certificate and key in PEM for HTTPS; null for plain HTTP. */
  readonly tls: { readonly cert: string; readonly key: string } | null;
}

export interface HttpServer {
  readonly server: Api;
  readonly hub: LiveHub;
  /** Every route that is there, but those of the dashboard's files. */
  readonly routes: readonly Route[];
}

/** Builds the HTTP side; nothing listens yet. */
export async function buildServer({
  services,
  version,
  dashboardFolder,
  onMistake,
  guard: guardOptions,
  trustedProxies,
  tls,
}: ServerOptions): Promise<HttpServer> {
  const server: Api = fastify({
    ...(tls === null ? {} : { https: tls }),
    ...(trustedProxies.length === 0 ? {} : { trustProxy: [...trustedProxies] }),
    http: { maxHeaderSize: HEADER_BYTES_MAX },
    requestTimeout: REQUEST_MS_MAX,
    bodyLimit: BODY_BYTES_MAX,
    routerOptions: { maxParamLength: 900 },
    forceCloseConnections: true,
    logger: false,
    frameworkErrors: (_error, _request, reply) =>
      sendProblem(reply, problem('body-invalid', 'The address is not well encoded.')),
  }).withTypeProvider<ZodTypeProvider>();
  server.setValidatorCompiler(validatorCompiler);
  server.setSerializerCompiler(serializerCompiler);
  answerMistakes(server, onMistake);
  server.server.maxConnections = CONNECTIONS_MAX;
  // The API speaks JSON alone; without this, plain text would pass for a body.
  server.removeContentTypeParser('text/plain');
  answerUnknown(server, dashboardFolder !== null);
  await server.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Quietkeg',
        version,
        description: 'Kegs, what is in them, and whether bottles can be filled from them.',
      },
    },
    transform: jsonSchemaTransform,
  });
  await server.register(websocket, { options: { maxPayload: LIVE_MESSAGE_BYTES_MAX, perMessageDeflate: false } });
  // After the plugin for sockets, whose own first step marks a request that wants to be one: it lets go of those we refuse.
  const guard = new Guard(guardOptions);
  guard.watch(server);

  const hub = new LiveHub(services);
  healthRoutes(server, services);
  acknowledgeRoutes(server, services);
  await server.register(
    (api, _options, done) => {
      const typed = api.withTypeProvider<ZodTypeProvider>();
      for (const routes of [
        kegRoutes,
        entryRoutes,
        siteRoutes,
        probeRoutes,
        alertRoutes,
        channelRoutes,
        ruleRoutes,
        fillRoutes,
        calculateRoutes,
        whatIfRoutes,
        gasCheckRoutes,
        learningRoutes,
        planRoutes,
        transferRoutes,
        deliveryRoutes,
      ])
        routes(typed, services);
      accessRoutes(typed, guardOptions.access);
      api.get('/openapi.json', { schema: { hide: true } }, () => server.swagger());
      liveRoute(api, hub);
      done();
    },
    { prefix: '/api/v1' },
  );
  if (dashboardFolder !== null) await guard.addingFiles(() => serveDashboard(server, dashboardFolder));
  server.addHook('preClose', () => hub.close());
  return { server, hub, routes: guard.routes() };
}

/** The live socket. All is decided before the connection becomes one. */
function liveRoute(api: FastifyInstance, hub: LiveHub): void {
  const preHandler = (request: FastifyRequest, _reply: FastifyReply, done: () => void) => {
    if (request.ws && !hub.hasRoomFor(request.visitor?.address ?? ''))
      throw new HttpProblem('too-many-pages', 'Too many pages are open. Close one, then open this again.');
    done();
  };
  api.get('/live', { websocket: true, preHandler, schema: { hide: true } }, (socket, { caller, visitor }) => {
    if (caller === null) socket.close();
    else hub.accept(socket, { caller, address: visitor?.address ?? '' });
  });
}

/** Unknown addresses are a problem; but the dashboard's pages have addresses of their own and share one document. */
function answerUnknown(server: Api, hasDashboard: boolean): void {
  const methodsOf = routeTable(server);
  server.setNotFoundHandler((request, reply) => {
    const wantsPage = request.method === 'GET' && (request.headers.accept ?? '').includes('text/html');
    if (hasDashboard && wantsPage && !request.url.startsWith('/api/')) return reply.sendFile('index.html');
    const asked = `${request.method} ${request.url.slice(0, 200)}`;
    const methods = methodsOf(request.url.split('?', 1)[0] ?? '');
    if (methods.length === 0) return sendProblem(reply, problem('address-unknown', `There is nothing at ${asked}.`));
    // RFC 9110, section 15.5.6: the answer names the methods that are allowed.
    void reply.header('allow', methods.join(', '));
    const detail = `${asked} is not understood; this address takes ${methods.join(', ')}.`;
    return sendProblem(reply, problem('method-not-allowed', detail));
  });
}

/** Follows the routes that are added from here on; tells the methods that an address takes, in order. */
function routeTable(server: Api): (path: string) => string[] {
  const routes: { readonly pattern: RegExp; readonly methods: readonly string[] }[] = [];
  server.addHook('onRoute', ({ url, method }) => {
    const pattern = new RegExp(`^${url.replace(/[.*+?^${}()|[\]\\]/g, '\\$&').replace(/:\w+/g, '[^/]+')}$`);
    routes.push({ pattern, methods: [method].flat() });
  });
  return (path) => [...new Set(routes.flatMap((route) => (route.pattern.test(path) ? route.methods : [])))].toSorted();
}

/** The dashboard's files. */
async function serveDashboard(server: Api, folder: string): Promise<void> {
  if (!existsSync(folder)) throw new Error(`the dashboard is not built: ${folder} is missing; run npm run prepare`);
  await server.register(fastifyStatic, {
    root: folder,
    wildcard: false,
    cacheControl: false,
    setHeaders: (reply, path) => {
      // Names under assets/ carry a hash of their content.
      const forever = path.includes('/assets/');
      void reply.header('cache-control', forever ? 'public, max-age=31536000, immutable' : 'no-cache');
    },
  });
}
