/** Aim: coming in, going out and being put out, as strangers in the house would try it. */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { HOUR } from '../support/builders.ts';
import { ask, codeOf, cookieOf, ELSEWHERE, logIn, PASSPHRASES, setPassphrases, standing } from '../support/door.ts';
import { anHttpWorld, type HttpWorld, LOCAL_KEY } from '../support/http-world.ts';

const TOKEN = 'abcd-efgh-jkmn-pqrs-tvwx';
const LOCAL = { from: '127.0.0.1', host: 'localhost:8420' };
let http: HttpWorld;
beforeEach(async () => {
  http = await anHttpWorld(undefined, { claimToken: TOKEN });
});
afterEach(() => http.server.close());

describe('before a passphrase is set', () => {
  test('the machine itself may do everything, without logging in', async () => {
    expect(await standing(http, LOCAL)).toEqual({
      claimed: false,
      accounts: [],
      claimNeedsToken: false,
      you: { role: 'owner', sessionId: null },
    });
    expect((await ask(http, 'GET', '/api/v1/people', LOCAL)).statusCode).toBe(200);
  });

  test('nobody else may do anything, and is told how to begin', async () => {
    expect(await standing(http)).toEqual({ claimed: false, accounts: [], claimNeedsToken: true, you: null });
    const answer = await ask(http, 'GET', '/api/v1/kegs');
    expect(codeOf(answer)).toBe('401 log-in-needed');
    expect(answer.json().detail).toMatch(/quietkeg passphrase/);
  });

  test.each([
    ['forwarded', 'for=192.168.7.20'],
    ['x-forwarded-for', '127.0.0.1'],
    ['x-forwarded-host', 'localhost'],
    ['x-forwarded-proto', 'http'],
    ['x-real-ip', '127.0.0.1'],
    ['via', '1.1 proxy'],
  ])('what a proxy on the machine passes on is not the machine itself: %s', async (name, value) => {
    const answer = await ask(http, 'GET', '/api/v1/kegs', { ...LOCAL, headers: { [name]: value } });
    expect(codeOf(answer)).toBe('401 log-in-needed');
  });

  test('nor is a request to the machine that calls it by its address in the house', async () => {
    expect(codeOf(await ask(http, 'GET', '/api/v1/kegs', { from: '127.0.0.1' }))).toBe('401 log-in-needed');
  });

  test('headers of strangers that claim to come from the machine are not believed', async () => {
    const headers = { 'x-forwarded-for': '127.0.0.1', 'x-real-ip': '127.0.0.1', forwarded: 'for=127.0.0.1' };
    const answer = await ask(http, 'GET', '/api/v1/kegs', { host: 'localhost', headers });
    expect(codeOf(answer)).toBe('401 log-in-needed');
  });
});

describe('the first passphrase', () => {
  const claim = (body: object, asked = {}) => ask(http, 'POST', '/api/v1/access/claim', { body, ...asked });

  test('is set from elsewhere with the token that was printed, which then is worth nothing', async () => {
    const answer = await claim({ token: TOKEN, passphrase: PASSPHRASES.owner });
    expect(answer.json()).toMatchObject({ claimed: true, accounts: ['owner'], you: { role: 'owner' } });
    const cookie = cookieOf(answer);
    expect((await ask(http, 'GET', '/api/v1/people', { cookie })).statusCode).toBe(200);
    expect(codeOf(await claim({ token: TOKEN, passphrase: PASSPHRASES.viewer }))).toBe('409 already-claimed');
    expect(codeOf(await ask(http, 'GET', '/api/v1/kegs', LOCAL))).toBe('401 log-in-needed');
  });

  test.each([undefined, '', 'abcd-efgh-jkmn-pqrs-tvwy', `${TOKEN} `])('is not set with the token %j', async (token) => {
    const answer = await claim({ ...(token === undefined ? {} : { token }), passphrase: PASSPHRASES.owner });
    expect(answer.statusCode).toBe(token === '' ? 400 : 403);
    expect(http.access.isClaimed()).toBe(false);
  });

  test('needs no token on the machine itself', async () => {
    expect((await claim({ passphrase: PASSPHRASES.owner }, LOCAL)).statusCode).toBe(200);
  });

  test('that is too easy is refused in words, and the token stays good', async () => {
    const answer = await claim({ token: TOKEN, passphrase: 'short' });
    expect(answer.json().detail).toMatch(/^passphrase: must have at least 12 characters/);
    expect((await claim({ token: TOKEN, passphrase: PASSPHRASES.owner })).statusCode).toBe(200);
  });

  test('fifty set it at once: one wins, and only the winner is in', async () => {
    const all = await Promise.all(
      Array.from({ length: 50 }, (_, n) =>
        claim({ token: TOKEN, passphrase: `${PASSPHRASES.owner} ${n}` }, { from: `192.168.7.${100 + n}` }),
      ),
    );
    const won = all.filter(({ statusCode }) => statusCode === 200);
    expect(won).toHaveLength(1);
    expect(all.filter(({ statusCode }) => statusCode === 409)).toHaveLength(49);
    expect(http.accessStore.sessions()).toHaveLength(1);
    const winner = all.findIndex(({ statusCode }) => statusCode === 200);
    const body = { passphrase: `${PASSPHRASES.owner} ${winner}` };
    expect((await ask(http, 'POST', '/api/v1/session', { body })).statusCode).toBe(200);
  });

  test('guessing the token waits longer and longer', async () => {
    const codes: string[] = [];
    for (let n = 0; n < 7; n += 1)
      codes.push(codeOf(await claim({ token: 'x'.repeat(24), passphrase: 'y'.repeat(12) })));
    expect(codes).toEqual([...Array(5).fill('403 token-wrong'), '429 too-many-tries', '429 too-many-tries']);
  });
});

describe('logging in', () => {
  beforeEach(() => setPassphrases(http));

  test('gives the role of the account, and lasts until logging out', async () => {
    const cookie = await logIn(http, 'operator');
    expect(await standing(http, { cookie })).toMatchObject({
      claimed: true,
      accounts: ['owner', 'operator', 'viewer'],
      you: { role: 'operator' },
    });
    const out = await ask(http, 'DELETE', '/api/v1/session', { cookie });
    expect([out.statusCode, String(out.headers['set-cookie'])]).toEqual([204, expect.stringMatching(/Max-Age=0/)]);
    // Replay: whoever kept a copy of the cookie has nothing.
    expect(codeOf(await ask(http, 'GET', '/api/v1/kegs', { cookie }))).toBe('401 log-in-needed');
  });

  test.each([
    { account: 'owner', passphrase: 'moss lantern obo' },
    { account: 'viewer', passphrase: PASSPHRASES.owner },
    { passphrase: PASSPHRASES.viewer },
  ])('%j is refused without saying why', async (body) => {
    const answer = await ask(http, 'POST', '/api/v1/session', { body });
    expect(codeOf(answer)).toBe('403 passphrase-wrong');
    expect(cookieOf(answer)).toBeNull();
  });

  test('fixation: a cookie that was planted is never adopted', async () => {
    const planted = `quietkeg-0=${'A'.repeat(43)}`;
    const cookie = await logIn(http, 'owner', { cookie: planted });
    expect(cookie).not.toBe(planted);
    expect(codeOf(await ask(http, 'GET', '/api/v1/kegs', { cookie: planted }))).toBe('401 log-in-needed');
  });

  test('renewal: logging in ends the session that the browser had before', async () => {
    const before = await logIn(http, 'viewer');
    const after = await logIn(http, 'owner', { cookie: before });
    expect((await standing(http, { cookie: before })).you).toBeNull();
    expect((await standing(http, { cookie: after })).you?.role).toBe('owner');
    expect(http.accessStore.sessions()).toHaveLength(1);
  });

  test('only digests and hashes are kept', async () => {
    const cookie = await logIn(http, 'owner');
    const token = cookie.split('=')[1] ?? '';
    const kept = JSON.stringify([
      http.world.database.prepare('select * from session').all(),
      http.world.database.prepare('select * from passphrase').all(),
    ]);
    expect(token).toHaveLength(43);
    expect(kept).not.toContain(token);
    for (const passphrase of Object.values(PASSPHRASES)) expect(kept).not.toContain(passphrase);
  });
});

describe('trying too often', () => {
  beforeEach(() => setPassphrases(http));

  test('failures make an address wait; it is told how long, and others are not held up', async () => {
    const wrong = (from?: string) =>
      ask(http, 'POST', '/api/v1/session', { body: { passphrase: 'x' }, ...(from === undefined ? {} : { from }) });
    for (let n = 0; n < 5; n += 1) expect(codeOf(await wrong())).toBe('403 passphrase-wrong');
    const refused = await wrong();
    expect(codeOf(refused)).toBe('429 too-many-tries');
    expect(refused.headers['retry-after']).toBe('1');
    // Right or wrong makes no difference while one has to wait.
    const right = { body: { passphrase: PASSPHRASES.owner } };
    expect(codeOf(await ask(http, 'POST', '/api/v1/session', right))).toBe('429 too-many-tries');
    expect((await ask(http, 'POST', '/api/v1/session', { ...right, from: '192.168.7.21' })).statusCode).toBe(200);
    http.world.clock.advance(1000);
    expect((await ask(http, 'POST', '/api/v1/session', right)).statusCode).toBe(200);
  });

  test('many tries at once are no way round the wait', async () => {
    const body = { passphrase: 'wrong every time' };
    const all = await Promise.all(Array.from({ length: 30 }, () => ask(http, 'POST', '/api/v1/session', { body })));
    expect(all.filter(({ statusCode }) => statusCode === 403)).toHaveLength(5);
    expect(all.filter(({ statusCode }) => statusCode === 429)).toHaveLength(25);
  });

  test('a claimed forwarding address does not escape the wait', async () => {
    const codes: number[] = [];
    for (let n = 0; n < 7; n += 1) {
      const headers = { 'x-forwarded-for': `10.0.0.${n}`, forwarded: `for=10.0.0.${n}` };
      codes.push((await ask(http, 'POST', '/api/v1/session', { body: { passphrase: 'x' }, headers })).statusCode);
    }
    expect(codes.slice(5)).toEqual([429, 429]);
  });

  test('the address is that of the proxy’s client where the proxy is trusted', async () => {
    const behind = await anHttpWorld(http.world, { trustedProxies: ['10.1.0.0/16'] });
    const tryOnce = (from: string, client: string) =>
      ask(behind, 'POST', '/api/v1/session', {
        body: { passphrase: 'x' },
        from,
        headers: { 'x-forwarded-for': client },
      });
    for (let n = 0; n < 5; n += 1) await tryOnce('10.1.0.1', '10.9.9.9');
    expect((await tryOnce('10.1.0.1', '10.9.9.9')).statusCode).toBe(429);
    expect((await tryOnce('10.1.0.1', '10.9.9.8')).statusCode).toBe(403);
    // Somebody who is no proxy and says so is taken for what they are.
    expect((await tryOnce('10.2.0.1', '10.9.9.9')).statusCode).toBe(403);
    await behind.server.close();
  });

  test('an account is slowed down when many addresses guess, but never for longer than half a minute', async () => {
    for (let n = 0; n < 30; n += 1) {
      http.world.clock.advance(31_000);
      await ask(http, 'POST', '/api/v1/session', { body: { passphrase: 'x' }, from: `10.0.0.${n}` });
    }
    const answer = await ask(http, 'POST', '/api/v1/session', { body: { passphrase: PASSPHRASES.owner } });
    expect(codeOf(answer)).toBe('429 too-many-tries');
    expect(Number(answer.headers['retry-after'])).toBeLessThanOrEqual(30);
    http.world.clock.advance(30_000);
    expect((await ask(http, 'POST', '/api/v1/session', { body: { passphrase: PASSPHRASES.owner } })).statusCode).toBe(
      200,
    );
  });
});

describe('sessions', () => {
  beforeEach(() => setPassphrases(http));

  test('a session ends by itself after 30 days without use', async () => {
    const cookie = await logIn(http, 'viewer');
    http.world.clock.advance(29 * 24 * HOUR);
    expect((await standing(http, { cookie })).you?.role).toBe('viewer');
    http.world.clock.advance(29 * 24 * HOUR);
    expect((await standing(http, { cookie })).you?.role).toBe('viewer');
    http.world.clock.advance(31 * 24 * HOUR);
    expect((await standing(http, { cookie })).you).toBeNull();
  });

  test('are listed without what proves them, and revoked one by one', async () => {
    const owner = await logIn(http, 'owner');
    const viewer = await logIn(http, 'viewer', { headers: { 'user-agent': 'X (Linux) Firefox/1' } });
    const list = (await ask(http, 'GET', '/api/v1/sessions', { cookie: owner })).json();
    expect(list.sessions).toMatchObject([
      { role: 'viewer', kind: 'log-in', name: 'Firefox on Linux', yours: false },
      { role: 'owner', kind: 'log-in', yours: true },
    ]);
    expect(JSON.stringify(list)).not.toMatch(/digest|token|hash/i);
    const gone = await ask(http, 'DELETE', `/api/v1/sessions/${list.sessions[0].sessionId}`, { cookie: owner });
    expect(gone.statusCode).toBe(204);
    expect((await standing(http, { cookie: viewer })).you).toBeNull();
    expect((await standing(http, { cookie: owner })).you?.role).toBe('owner');
  });

  test('a changed passphrase ends those who came in by it; the owner’s ends all, and the owner comes in anew', async () => {
    const owner = await logIn(http, 'owner');
    const [operator, viewer] = [await logIn(http, 'operator'), await logIn(http, 'viewer')];
    const change = (role: string, yours: string) =>
      ask(http, 'PUT', `/api/v1/passphrases/${role}`, {
        cookie: owner,
        body: { passphrase: 'brandnew velvet anchor', yours },
      });
    expect(codeOf(await change('operator', 'wrong'))).toBe('403 passphrase-wrong');
    expect((await change('operator', PASSPHRASES.owner)).statusCode).toBe(204);
    expect((await standing(http, { cookie: operator })).you).toBeNull();
    expect((await standing(http, { cookie: viewer })).you?.role).toBe('viewer');
    const renewed = await change('owner', PASSPHRASES.owner);
    expect(renewed.statusCode).toBe(204);
    for (const cookie of [owner, viewer]) expect((await standing(http, { cookie })).you).toBeNull();
    expect((await standing(http, { cookie: cookieOf(renewed) })).you?.role).toBe('owner');
    const old = await ask(http, 'POST', '/api/v1/session', { body: { passphrase: PASSPHRASES.owner } });
    expect(codeOf(old)).toBe('403 passphrase-wrong');
  });

  test('a removed passphrase ends its sessions', async () => {
    const owner = await logIn(http, 'owner');
    const viewer = await logIn(http, 'viewer');
    expect((await ask(http, 'DELETE', '/api/v1/passphrases/viewer', { cookie: owner })).statusCode).toBe(204);
    expect((await standing(http, { cookie: viewer })).you).toBeNull();
    expect((await ask(http, 'DELETE', '/api/v1/passphrases/owner', { cookie: owner })).statusCode).toBe(400);
  });

  test('their number has a bound: the log-in that was unused longest gives way', async () => {
    const first = await logIn(http, 'viewer');
    for (let n = 0; n < 199; n += 1) http.access.addProgram(`p${n}`, 'viewer');
    expect((await standing(http, { cookie: first })).you?.role).toBe('viewer');
    await logIn(http, 'owner');
    expect(http.accessStore.sessions()).toHaveLength(200);
    expect((await standing(http, { cookie: first })).you).toBeNull();
  });
});

describe('tablets and programs', () => {
  let owner: string;
  beforeEach(async () => {
    await setPassphrases(http, ['owner']);
    owner = await logIn(http, 'owner');
  });
  const link = async (name = 'Fridge door') => {
    const { path } = (await ask(http, 'POST', '/api/v1/devices', { cookie: owner, body: { name } })).json();
    expect(path).toMatch(/^\/tablet#[\w-]{43}$/);
    return String(path).split('#')[1] ?? '';
  };
  const enter = (token: string) => ask(http, 'POST', '/api/v1/session/device', { body: { token } });

  test('a link lets one tablet in, once, to look', async () => {
    const token = await link();
    const answer = await enter(token);
    expect(answer.json().you.role).toBe('viewer');
    const cookie = cookieOf(answer);
    expect((await ask(http, 'GET', '/api/v1/kegs', { cookie })).statusCode).toBe(200);
    expect(codeOf(await ask(http, 'PUT', '/api/v1/site', { cookie, body: {} }))).toBe('403 not-allowed');
    expect(codeOf(await enter(token))).toBe('403 token-wrong');
    const { sessions } = (await ask(http, 'GET', '/api/v1/sessions', { cookie: owner })).json();
    const device = sessions.find(({ kind }: { kind: string }) => kind === 'device');
    expect(device).toMatchObject({ name: 'Fridge door', role: 'viewer' });
    await ask(http, 'DELETE', `/api/v1/sessions/${device.sessionId}`, { cookie: owner });
    expect((await standing(http, { cookie })).you).toBeNull();
  });

  test('many open the same link at once: one is in', async () => {
    const token = await link();
    const all = await Promise.all(Array.from({ length: 4 }, () => enter(token)));
    expect(all.filter(({ statusCode }) => statusCode === 200)).toHaveLength(1);
  });

  test('a link that waited for more than a day is worth nothing, and is listed no more', async () => {
    const token = await link();
    const listed = async () => (await ask(http, 'GET', '/api/v1/sessions', { cookie: owner })).json().invitations;
    expect(await listed()).toMatchObject([{ name: 'Fridge door' }]);
    http.world.clock.advance(24 * HOUR + 1);
    expect(await listed()).toEqual([]);
    expect(codeOf(await enter(token))).toBe('403 token-wrong');
  });

  test('a program comes in by a key, in a header and not as a cookie', async () => {
    const body = { name: 'metrics', role: 'viewer' };
    const { key } = (await ask(http, 'POST', '/api/v1/programs', { cookie: owner, body })).json();
    const bearer = (path: string) => ask(http, 'GET', path, { headers: { authorization: `Bearer ${key}` } });
    expect((await bearer('/metrics')).statusCode).toBe(200);
    expect((await bearer('/api/v1/people')).statusCode).toBe(403);
    expect((await ask(http, 'GET', '/metrics', { cookie: `quietkeg-0=${key}` })).statusCode).toBe(401);
    const token = (owner.split('=')[1] ?? '').trim();
    const asHeader = await ask(http, 'GET', '/metrics', { headers: { authorization: `Bearer ${token}` } });
    expect(asHeader.statusCode).toBe(401);
  });

  test('whoever can read the service’s folder is let in by the key that stands there', async () => {
    const with_ = (key: string) => ask(http, 'GET', '/api/v1/people', { headers: { authorization: `Bearer ${key}` } });
    expect((await with_(LOCAL_KEY)).statusCode).toBe(200);
    expect((await with_(`${LOCAL_KEY}x`)).statusCode).toBe(401);
  });
});

test('where the owner says that something else keeps strangers out, all may come in until a passphrase is set', async () => {
  const trusting = await anHttpWorld(undefined, { trustNetwork: true });
  expect((await ask(trusting, 'GET', '/api/v1/people')).statusCode).toBe(200);
  await setPassphrases(trusting, ['owner']);
  expect((await ask(trusting, 'GET', '/api/v1/people', { from: ELSEWHERE })).statusCode).toBe(401);
  await trusting.server.close();
});
