import type { FastifyRequest } from 'fastify';
import { type Access, type Caller, isThisMachine, type Visitor } from '../../app/access.ts';
import { HttpProblem } from '../problems.ts';
import type { Api } from '../routes/route.ts';
import { type CookiePlace, cookieToken } from './cookies.ts';
import { hostNameOf, isLoopbackName, isOwnName, isOwnOrigin } from './host.ts';
import { RequestLimit } from './request-limit.ts';
import { responseHeaders } from './response-headers.ts';
import { isEnough, neededFor, ROLE_WORDS } from './roles.ts';

declare module 'fastify' {
  interface FastifyRequest {
    /** Set by the guard before any route runs; null where nobody needs to be logged in. */
    caller: Caller | null;
    visitor: Visitor | null;
  }
}

export interface GuardOptions {
  readonly access: Access;
  /** Names, in lower case, by which we are known besides addresses and localhost. */
  readonly names: readonly string[];
  /** The public address is HTTPS. */
  readonly alwaysSecure: boolean;
  readonly monotonicMs: () => number;
}

export interface Route {
  readonly method: string;
  readonly url: string;
}

/** What a proxy adds. Whoever comes through one does not sit at this machine. */
const PASSED_ON = [
  'forwarded',
  'via',
  'x-forwarded-for',
  'x-forwarded-host',
  'x-forwarded-proto',
  'x-real-ip',
] as const;
const LIVE_ROUTE = '/api/v1/live';
const READING: readonly string[] = ['GET', 'HEAD', 'OPTIONS'];

/** Stands before every route, those of sockets included: names, pages elsewhere, limits, then who it is and whether they may. */
export class Guard {
  readonly #options: GuardOptions;
  readonly #limit = new RequestLimit();
  readonly #routes: Route[] = [];
  readonly #files = new Set<string>();
  #addingFiles = false;

  constructor(options: GuardOptions) {
    this.#options = options;
  }

  /** Every route but those of files. */
  routes(): readonly Route[] {
    return this.#routes;
  }

  /** Call it before any route is added. */
  watch(server: Api): void {
    server.decorateRequest('caller', null);
    server.decorateRequest('visitor', null);
    server.addHook('onRoute', ({ method, url }) => {
      if (this.#addingFiles) this.#files.add(url);
      else for (const one of [method].flat()) this.#routes.push({ method: one, url });
    });
    server.addHook('onRequest', (request, reply, done) => {
      const host = namesOneHost(request) ? hostNameOf(request.headers.host) : null;
      void reply.headers(
        responseHeaders({
          isApi: request.url.startsWith('/api/') || !this.#isPage(request),
          host: host === null ? null : (request.headers.host ?? null),
          isSecure: isSecure(request),
          alwaysSecure: this.#options.alwaysSecure,
        }),
      );
      this.#admit(request, host);
      done();
    });
  }

  /** The dashboard's own files are for everybody: they hold nothing, and the page to log in on is one of them. */
  async addingFiles(add: () => Promise<void>): Promise<void> {
    this.#addingFiles = true;
    await add();
    this.#addingFiles = false;
  }

  /** Throws the problem with a request that may not go on. */
  #admit(request: FastifyRequest, host: string | null): void {
    const { access, names, monotonicMs } = this.#options;
    if (host === null || !isOwnName(host, names)) throw new HttpProblem('host-unknown', unknownHost(host));
    // Any route could be asked to become a socket; only one may.
    if (wantsSocket(request) && request.routeOptions.url !== LIVE_ROUTE)
      throw new HttpProblem('address-unknown', 'There is no socket at this address.');
    if (!this.#isFromOurPages(request)) {
      throw new HttpProblem(
        'foreign-page',
        'A page of another address asked for this. Open Quietkeg itself and do it there.',
      );
    }
    const visitor = visitorOf(request, host);
    if (!visitor.isLocal && !this.#limit.take(visitor.address, monotonicMs())) {
      throw new HttpProblem('too-many-requests', 'This address asks too much at once. Wait a few seconds.', 5);
    }
    request.visitor = visitor;
    request.caller = access.identify(visitor);
    const needed = this.#needed(request);
    if (needed === 'public') return;
    if (request.caller === null) {
      const how = access.isClaimed()
        ? 'Log in, or send a key as "Authorization: Bearer …".'
        : 'No passphrase is set yet, so only this machine itself may come in. Set one: quietkeg passphrase.';
      throw new HttpProblem('log-in-needed', how);
    }
    if (!isEnough(request.caller.role, needed))
      throw new HttpProblem(
        'not-allowed',
        `Only ${ROLE_WORDS[needed]} can do this; you are logged in as ${request.caller.role}.`,
      );
  }

  #needed(request: FastifyRequest) {
    return this.#isPage(request) ? 'public' : neededFor(request.method, request.routeOptions.url ?? '');
  }

  /** A file of the dashboard; or nothing at all, which answers with its document or that there is nothing. */
  #isPage(request: FastifyRequest): boolean {
    const { url } = request.routeOptions;
    return url === undefined || this.#files.has(url);
  }

  /** Browsers say where a request that changes something, or a socket, comes from. Programs say nothing. */
  #isFromOurPages(request: FastifyRequest): boolean {
    const { origin, host = '', 'sec-fetch-site': site } = request.headers;
    if (READING.includes(request.method) && !wantsSocket(request)) return true;
    if (origin !== undefined) return isOwnOrigin(origin, host, isSecure(request));
    return site === undefined || site === 'same-origin' || site === 'none';
  }
}

/** Of two Host headers the first would be taken, and a proxy before us may take the other. */
function namesOneHost({ raw }: FastifyRequest): boolean {
  const names = (raw.rawHeaders ?? []).filter((_name, index) => index % 2 === 0);
  return names.filter((name) => name.toLowerCase() === 'host').length < 2;
}

function wantsSocket({ headers }: FastifyRequest): boolean {
  return headers.upgrade !== undefined && /\bupgrade\b/i.test(headers.connection ?? '');
}

export function isSecure(request: FastifyRequest): boolean {
  return request.protocol === 'https';
}

export function cookiePlace(request: FastifyRequest): CookiePlace {
  return { isSecure: isSecure(request), port: request.raw.socket?.localPort ?? 0 };
}

/** The name in the request was found to be ours. */
function visitorOf(request: FastifyRequest, host: string): Visitor {
  const { headers, raw } = request;
  const direct = raw.socket?.remoteAddress ?? '';
  const [, bearer = null] = /^Bearer ([\w-]{20,100})$/i.exec(headers.authorization ?? '') ?? [];
  return {
    address: request.ip ?? direct,
    isLocal: isThisMachine(direct) && isLoopbackName(host) && PASSED_ON.every((name) => headers[name] === undefined),
    cookie: cookieToken(headers.cookie, cookiePlace(request)),
    bearer,
  };
}

function unknownHost(host: string | null): string {
  if (host === null) return 'The request names no host.';
  return `This service is not known as ${host}. If it should be, add the name to http.names in its settings.`;
}
