import type { InjectOptions } from 'fastify';
import type { Access, AccessRole } from '../../src/contract/index.ts';
import type { HttpWorld } from './http-world.ts';

export const PASSPHRASES: Readonly<Record<AccessRole, string>> = {
  owner: 'moss lantern oboe',
  operator: 'gravel teapot sonnet',
  viewer: 'window plum carriage',
};
/** An address in a house, from an example network. */
export const ELSEWHERE = '192.168.7.20';

export interface Asked {
  readonly body?: unknown;
  readonly cookie?: string | null;
  readonly headers?: Readonly<Record<string, string>>;
  /** Where the connection comes from. */
  readonly from?: string;
  readonly host?: string;
}

/** A request as from somewhere else in the house, unless it says otherwise. */
export function ask(http: HttpWorld, method: NonNullable<InjectOptions['method']>, url: string, asked: Asked = {}) {
  const { body, cookie = null, headers = {}, from = ELSEWHERE, host = '192.168.7.2:8420' } = asked;
  return http.server.inject({
    method,
    url,
    remoteAddress: from,
    headers: { host, ...(cookie === null ? {} : { cookie }), ...headers },
    ...(body === undefined ? {} : { payload: body as object }),
  });
}

type Answer = Awaited<ReturnType<typeof ask>>;

/** The cookie that an answer sets, as a browser would send it back; null if it sets none. */
export function cookieOf(answer: Answer): string | null {
  const [set] = [answer.headers['set-cookie'] ?? []].flat();
  return set === undefined ? null : (set.split(';', 1)[0] ?? null);
}

export const codeOf = (answer: Answer): string =>
  `${answer.statusCode} ${String(answer.json().type).replace('urn:quietkeg:problem:', '')}`;

/** Sets passphrases for all roles, past the door. */
export async function setPassphrases(http: HttpWorld, roles: readonly AccessRole[] = ['owner', 'operator', 'viewer']) {
  const { NodeSecrets } = await import('../../src/adapters/secrets/node-secrets.ts');
  const secrets = new NodeSecrets();
  for (const role of roles) http.accessStore.putPassphrase(role, await secrets.hash(PASSPHRASES[role]));
}

/** Logs in and gives the cookie. */
export async function logIn(http: HttpWorld, account: AccessRole, asked: Asked = {}): Promise<string> {
  const body = { account, passphrase: PASSPHRASES[account] };
  const answer = await ask(http, 'POST', '/api/v1/session', { ...asked, body });
  const cookie = cookieOf(answer);
  if (cookie === null) throw new Error(`${account} cannot log in: ${answer.body}`);
  return cookie;
}

export async function standing(http: HttpWorld, asked: Asked = {}): Promise<Access> {
  return (await ask(http, 'GET', '/api/v1/access', asked)).json();
}

/** Secrets of channels that look like nothing else. */
export const LOCAL_SECRETS: readonly string[] = ['canary-mail-password-7431', 'Bearer canary-relay-header-9925'];
