/**
 * Aim: whether a request becomes a live socket is decided before the 101, whatever it says of where it comes from.
 * Method: bytes written to a real port, each Host with each Origin with each cookie; what is wanted is worked out from a table.
 */
import { once } from 'node:events';
import { connect } from 'node:net';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { WebSocket } from 'ws';
import { logIn, setPassphrases } from '../../support/door.ts';
import { anHttpWorld, type HttpWorld } from '../../support/http-world.ts';
import { until } from '../../support/until.ts';

let http: HttpWorld;
let port: number;
let cookie: string;

beforeAll(async () => {
  http = await anHttpWorld(undefined, { names: ['keg-box'] });
  await http.server.listen({ host: '127.0.0.1', port: 0 });
  const address = http.server.server.address();
  port = typeof address === 'object' && address !== null ? address.port : 0;
  await setPassphrases(http);
  const made = await logIn(http, 'viewer');
  cookie = `quietkeg-${port}=${made.split('=')[1]}`;
});
afterAll(async () => {
  await until('all pages are gone', () => http.hub.clients() === 0);
  await http.server.close();
});

/** Writes a request as it stands and gives the status of the answer. */
async function raw(lines: readonly string[]): Promise<number> {
  const socket = connect(port, '127.0.0.1');
  socket.write(`${lines.join('\r\n')}\r\n\r\n`);
  let text = '';
  socket.on('data', (bytes) => {
    text += bytes.toString();
  });
  const status = await until(
    'the answer comes',
    () => /^HTTP\/1\.1 (\d{3}) /.exec(text)?.[1] ?? (socket.closed && '0'),
  );
  socket.destroy();
  return Number(status);
}

const upgrade = (path: string, headers: readonly string[]) =>
  raw([
    `GET ${path} HTTP/1.1`,
    'Connection: Upgrade',
    'Upgrade: websocket',
    'Sec-WebSocket-Version: 13',
    'Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==',
    ...headers,
  ]);

describe('an upgrade', () => {
  const HOSTS: readonly (readonly [name: string, isOurs: boolean])[] = [
    ['127.0.0.1', true],
    ['localhost', true],
    ['keg-box', true],
    ['192.168.7.2', true],
    ['evil.example', false],
    ['127.0.0.1.evil.example', false],
  ];
  const ORIGINS = [
    'same',
    'none',
    'null',
    'http://evil.example',
    'same name, other port',
    'https, same place',
  ] as const;
  const COOKIES = ['good', 'none', 'wrong', 'of another port'] as const;

  const originOf = (origin: (typeof ORIGINS)[number], host: string): string | null => {
    switch (origin) {
      case 'same':
        return `http://${host}:${port}`;
      case 'none':
        return null;
      case 'same name, other port':
        return `http://${host}:${port + 1}`;
      case 'https, same place':
        return `https://${host}:${port}`;
      default:
        return origin;
    }
  };
  const cookieLine = (which: (typeof COOKIES)[number]): readonly string[] => {
    const lines = {
      good: [`Cookie: ${cookie}`],
      none: [],
      wrong: [`Cookie: quietkeg-${port}=${'A'.repeat(43)}`],
      'of another port': [`Cookie: ${cookie.replace(String(port), String(port + 1))}`],
    };
    return lines[which];
  };
  const wanted = (isOurs: boolean, origin: (typeof ORIGINS)[number], which: (typeof COOKIES)[number]): number => {
    if (!isOurs) return 421;
    // Plain HTTP cannot know whether a proxy before it speaks HTTPS, so the scheme is not held against it.
    if (!['same', 'none', 'https, same place'].includes(origin)) return 403;
    return which === 'good' ? 101 : 401;
  };
  const rows = HOSTS.flatMap(([host, isOurs]) =>
    ORIGINS.flatMap((origin) => COOKIES.map((which) => [host, origin, which, wanted(isOurs, origin, which)] as const)),
  );

  test.each(rows)('to %s from %s with cookie %s: %d', async (host, origin, which, status) => {
    const from = originOf(origin, host);
    const lines = [`Host: ${host}:${port}`, ...(from === null ? [] : [`Origin: ${from}`]), ...cookieLine(which)];
    expect(await upgrade('/api/v1/live', lines)).toBe(status);
  });

  test('without a Host, or with two, is refused', async () => {
    expect(await upgrade('/api/v1/live', [`Cookie: ${cookie}`])).toBe(421);
    expect(await upgrade('/api/v1/live', ['Host: localhost', 'Host: evil.example', `Cookie: ${cookie}`])).not.toBe(101);
  });

  test.each(['/api/v1/kegs', '/', '/nothing', '/api/v1/live/../kegs'])('of %s becomes no socket', async (path) => {
    const status = await upgrade(path, [`Host: localhost:${port}`, `Cookie: ${cookie}`]);
    expect(status).not.toBe(101);
    expect(status).toBeLessThan(500);
  });

  test('by a browser’s site that is not ours, without an Origin, is refused', async () => {
    const lines = [`Host: localhost:${port}`, `Cookie: ${cookie}`];
    expect(await upgrade('/api/v1/live', [...lines, 'Sec-Fetch-Site: cross-site'])).toBe(403);
    expect(await upgrade('/api/v1/live', [...lines, 'Sec-Fetch-Site: same-site'])).toBe(403);
    expect(await upgrade('/api/v1/live', [...lines, 'Sec-Fetch-Site: same-origin'])).toBe(101);
  });
});

describe('a request that changes something', () => {
  const POST = ['POST /api/v1/calculate HTTP/1.1', 'Content-Type: application/json', 'Content-Length: 2'];

  test.each<[string, readonly string[], number]>([
    ['from our page', ['Origin: http://localhost:PORT'], 400],
    ['from a program', [], 400],
    ['from a page elsewhere', ['Origin: http://evil.example'], 403],
    ['from a page without a place', ['Origin: null'], 403],
    ['from a page on the same machine at another port', ['Origin: http://localhost:1'], 403],
    ['that a browser says comes from elsewhere', ['Sec-Fetch-Site: cross-site'], 403],
  ])('%s', async (_what, headers, status) => {
    const lines = headers.map((line) => line.replace('PORT', String(port)));
    expect(await raw([...POST, `Host: localhost:${port}`, `Cookie: ${cookie}`, ...lines, '', '{}'])).toBe(status);
  });

  test('sent to us under a name that was made to lead here is answered 421', async () => {
    const lines = [`Host: evil.example:${port}`, `Origin: http://evil.example:${port}`, `Cookie: ${cookie}`];
    expect(await raw([...POST, ...lines, '', '{}'])).toBe(421);
    expect(await raw(['GET /api/v1/kegs HTTP/1.1', ...lines])).toBe(421);
    expect(await raw(['GET / HTTP/1.1', ...lines])).toBe(421);
    expect(await raw(['GET /health/live HTTP/1.1', ...lines])).toBe(421);
  });

  test.each(['text/plain', 'application/x-www-form-urlencoded', 'multipart/form-data'])(
    'as a form could send it (%s) is refused',
    async (type) => {
      const lines = ['POST /api/v1/session HTTP/1.1', `Content-Type: ${type}`, 'Content-Length: 2'];
      expect(await raw([...lines, `Host: localhost:${port}`, '', '{}'])).toBe(415);
    },
  );
});

describe('headers', () => {
  test('up to 16 KiB are read, and no more', async () => {
    const sized = (bytes: number) => {
      const lines = ['GET /health/live HTTP/1.1', `Host: localhost:${port}`, 'X-Padding: '];
      // Node counts names and values, not the first line or what separates them; so the bound is approached from both sides.
      return raw([...lines.slice(0, 2), `X-Padding: ${'x'.repeat(bytes)}`]);
    };
    expect(await sized(15 * 1024)).toBe(200);
    expect(await sized(16 * 1024)).toBe(431);
  });
});

describe('an open page', () => {
  const open = async (withCookie: string) => {
    const socket = new WebSocket(`ws://127.0.0.1:${port}/api/v1/live`, { headers: { cookie: withCookie } });
    await once(socket, 'open');
    return socket;
  };
  const cookieFor = async (account: 'viewer' | 'owner') =>
    `quietkeg-${port}=${(await logIn(http, account)).split('=')[1]}`;

  test('is closed when its session ends, and only then', async () => {
    const [gone, stays] = [await open(await cookieFor('viewer')), await open(await cookieFor('owner'))];
    const closed = once(gone, 'close');
    const [session] = http.accessStore.sessions().filter(({ role }) => role === 'viewer');
    http.hub.putOut((caller) => http.access.isStillIn(caller));
    expect(gone.readyState).toBe(WebSocket.OPEN);
    http.access.revoke(session?.sessionId ?? '');
    http.hub.putOut((caller) => http.access.isStillIn(caller));
    const [code] = await closed;
    expect(code).toBe(4401);
    expect(stays.readyState).toBe(WebSocket.OPEN);
    stays.terminate();
    await until('all are gone', () => http.hub.clients() === 0);
  });

  test('fifty of one address are let in, and not one more', async () => {
    const mine = await cookieFor('owner');
    const sockets = await Promise.all(Array.from({ length: 50 }, () => open(mine)));
    expect(await upgrade('/api/v1/live', [`Host: localhost:${port}`, `Cookie: ${mine}`])).toBe(503);
    sockets[0]?.terminate();
    await until('one has left', () => http.hub.clients() === 49);
    expect(await upgrade('/api/v1/live', [`Host: localhost:${port}`, `Cookie: ${mine}`])).toBe(101);
    for (const socket of sockets) socket.terminate();
  });
});
