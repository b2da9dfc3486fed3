/** Aim: every route there is stands in the table of roles, and each role gets exactly what the table says. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { AccessRole } from '../../../src/contract/index.ts';
import { type Needed, ROUTE_ROLES } from '../../../src/http/access/roles.ts';
import { ask, logIn, setPassphrases } from '../../support/door.ts';
import { anHttpWorld, type HttpWorld } from '../../support/http-world.ts';

let http: HttpWorld;
const cookies = new Map<AccessRole | null, string | null>([[null, null]]);
const ORDER: readonly Needed[] = ['public', 'viewer', 'operator', 'owner'];

beforeAll(async () => {
  http = await anHttpWorld();
  await setPassphrases(http);
  for (const role of ['viewer', 'operator', 'owner'] as const) cookies.set(role, await logIn(http, role));
});
afterAll(() => http.server.close());

const routesThatAre = () =>
  http.routes.filter(({ method }) => method !== 'HEAD').map(({ method, url }) => `${method} ${url}`);

test('every route stands in the table, and nothing else does', () => {
  expect(routesThatAre().length).toBeGreaterThan(50);
  // A new route fails here: say in src/http/access/roles.ts who may use it.
  expect(routesThatAre().toSorted()).toEqual(Object.keys(ROUTE_ROLES).toSorted());
});

test('nothing that changes something is open to everybody but the door, nor to those who only look', () => {
  const changing = Object.entries(ROUTE_ROLES).filter(([route]) => !/^(GET|HEAD) /.test(route));
  const open = changing.filter(([, needed]) => needed === 'public').map(([route]) => route);
  expect(open).toEqual([
    // Its signed token is the proof.
    'POST /acknowledge/:token',
    'POST /api/v1/access/claim',
    'POST /api/v1/session',
    'DELETE /api/v1/session',
    'POST /api/v1/session/device',
  ]);
  const looking = changing.filter(([, needed]) => needed === 'viewer').map(([route]) => route);
  // These two only compute.
  expect(looking).toEqual(['POST /api/v1/calculate', 'POST /api/v1/what-if']);
});

describe.each([null, 'viewer', 'operator', 'owner'] as const)('as %s', (role) => {
  test.each(Object.entries(ROUTE_ROLES).filter(([route]) => route !== 'DELETE /api/v1/session'))(
    '%s needs %s',
    async (route, needed) => {
      const [method = '', url = ''] = route.split(' ');
      const path = url
        .replace(':role', 'viewer')
        .replace('/sessions/:sessionId', '/sessions/none')
        .replace(/:\w+/g, 'no-such-thing');
      // An empty object is refused by every route that changes something, if it is not stopped before.
      const body = method === 'GET' || method === 'DELETE' ? undefined : {};
      const answer = await ask(http, method as 'GET', path, { cookie: cookies.get(role) ?? null, body });
      const isEnough = ORDER.indexOf(needed) <= ORDER.indexOf(role ?? 'public');
      if (isEnough) {
        expect([401, 403]).not.toContain(answer.statusCode);
        expect(answer.statusCode).toBeLessThan(500);
      } else expect(answer.statusCode).toBe(role === null ? 401 : 403);
    },
  );

  test('a look without its answer (HEAD) needs the same', async () => {
    const answer = await ask(http, 'HEAD', '/api/v1/channels', { cookie: cookies.get(role) ?? null });
    expect(answer.statusCode).toBe(role === null ? 401 : role === 'owner' ? 200 : 403);
  });
});

test('an unknown address tells no more than that, to anybody', async () => {
  expect((await ask(http, 'GET', '/api/v1/secret')).statusCode).toBe(404);
  expect((await ask(http, 'DELETE', '/api/v1/kegs')).statusCode).toBe(405);
});
