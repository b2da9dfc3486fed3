import { createReadStream, existsSync } from 'node:fs';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import { extname, join } from 'node:path';
import { WebSocketServer } from 'ws';
import type { Episode } from '../../../src/contract/alert.ts';
import type { LiveFrame } from '../../../src/contract/live.ts';
import type { KegState } from '../../../src/contract/state.ts';

/** Stands in for the service in browser tests: it serves the built pages and plays the frames it is told to. */
export interface FakeService {
  readonly address: string;
  /** Answers of the API by "METHOD /path" (without /api/v1); a function sees the body. */
  readonly answers: Map<string, Answer>;
  /** Requests that changed something, oldest first. */
  readonly changes: { readonly what: string; readonly body: unknown }[];
  kegs: readonly KegState[];
  alerts: readonly Episode[];
  send(frame: LiveFrame): void;
  /** Cuts all sockets and refuses new ones until `restore`. */
  cut(): void;
  restore(): void;
  close(): Promise<void>;
}

export interface Answer {
  readonly status: number;
  readonly body: unknown;
}

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
  '.webmanifest': 'application/manifest+json',
};
/** As strict as the real service's, so that a page which needs more fails here. */
const POLICY =
  "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'";

export async function startFakeService(dist: string): Promise<FakeService> {
  const sockets = new WebSocketServer({ noServer: true });
  let refusing = false;
  const server = createServer((request, response) => {
    answer(service, dist, request, response).catch((error: unknown) => {
      response.writeHead(500).end(String(error));
    });
  });
  server.on('upgrade', (request, socket, head) => {
    if (refusing) return socket.destroy();
    sockets.handleUpgrade(request, socket, head, (client) => {
      const snapshot = (): void => client.send(JSON.stringify(snapshotOf(service)));
      client.send(JSON.stringify({ type: 'hello', protocol: 1 }));
      snapshot();
      client.on('message', snapshot);
    });
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const bound = server.address();
  const port = typeof bound === 'object' && bound !== null ? bound.port : 0;
  const service: FakeService = {
    address: `http://127.0.0.1:${port}`,
    answers: new Map(),
    changes: [],
    kegs: [],
    alerts: [],
    send(frame) {
      for (const client of sockets.clients) client.send(JSON.stringify(frame));
    },
    cut() {
      refusing = true;
      for (const client of sockets.clients) client.terminate();
    },
    restore() {
      refusing = false;
    },
    close() {
      for (const client of sockets.clients) client.terminate();
      server.closeAllConnections();
      return new Promise((resolve) => server.close(() => resolve()));
    },
  };
  return service;
}

const snapshotOf = (service: FakeService): LiveFrame => ({
  type: 'snapshot',
  revision: 1,
  at: new Date().toISOString(),
  kegs: [...service.kegs],
  alerts: [...service.alerts],
});

async function answer(service: FakeService, dist: string, request: IncomingMessage, response: ServerResponse) {
  const path = new URL(request.url ?? '/', 'http://localhost').pathname;
  response.setHeader('content-security-policy', POLICY);
  if (path.startsWith('/api/v1')) return api(service, path.slice('/api/v1'.length), request, response);
  const file = join(dist, path);
  const found = path !== '/' && existsSync(file) && extname(file) !== '' ? file : join(dist, 'index.html');
  response.setHeader('content-type', TYPES[extname(found)] ?? 'application/octet-stream');
  createReadStream(found).pipe(response);
}

async function api(service: FakeService, path: string, request: IncomingMessage, response: ServerResponse) {
  const what = `${request.method} ${path}`;
  let text = '';
  for await (const chunk of request) text += String(chunk);
  if (request.method !== 'GET') service.changes.push({ what, body: text === '' ? null : JSON.parse(text) });
  const prepared = service.answers.get(what) ?? (request.method === 'GET' ? null : { status: 200, body: {} });
  const status = prepared?.status ?? 404;
  response.setHeader('content-type', status < 400 ? 'application/json' : 'application/problem+json');
  response.writeHead(status);
  response.end(JSON.stringify(prepared?.body ?? { title: 'not here', status: 404, detail: `nothing at ${path}` }));
}
