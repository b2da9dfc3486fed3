/** Aim: a link out of a message acknowledges one alert for one person, for a while, and nothing else; looking at it does nothing. */
import { createHash, createHmac } from 'node:crypto';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { SqliteOutboxJournal } from '../../src/adapters/sqlite/sqlite-outbox-journal.ts';
import { type Episode, newEpisode } from '../../src/alerts/episode.ts';
import { LINK_MS_MAX } from '../../src/app/acknowledge-links.ts';
import { BURST } from '../../src/http/access/request-limit.ts';
import { ACKNOWLEDGE_STYLE_HASH } from '../../src/http/acknowledge-page.ts';
import { aPerson } from '../support/delivery-world.ts';
import { ask, codeOf, logIn, setPassphrases } from '../support/door.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';
import { PUBLIC_URL } from '../support/world.ts';

const HOST = 'keg.test:8420';
/** As a browser sends a form with one button of no name. */
const FORM = {
  'content-type': 'application/x-www-form-urlencoded',
  origin: PUBLIC_URL,
  'sec-fetch-site': 'same-origin',
};
let http: HttpWorld;

beforeEach(async () => {
  http = await anHttpWorld(undefined, { names: ['keg.test'] });
  await setPassphrases(http);
  http.world.outbox.book().people.put('anna', aPerson());
});
afterEach(async () => {
  expect(http.mistakes).toEqual([]);
  await http.server.close();
});

function anAlert(target = 'one', change: Partial<Episode> = {}): Episode {
  const beganAtMs = http.world.clock.nowMs();
  const words = { measured: null, limit: null, unit: null, message: 'Amber <b> is warm.', advice: 'Close the door.' };
  const state = { kind: 'active', beganAtMs, lastSampleMs: beganAtMs } as const;
  const rule = { name: 'fridge-warm', level: 'attention' } as const;
  const episode = { ...newEpisode(rule, target, target, state, words), ...change };
  http.world.journal.saveEpisode(episode);
  return episode;
}
const acknowledgedAtMs = ({ id }: Episode) => http.world.services.desk.get(id)?.acknowledgedAtMs ?? null;
function pathFor({ id }: Episode, personId = 'anna'): string {
  const link = http.world.services.acknowledgeLinks.linkFor(id, personId);
  expect(link).toMatch(/^http:\/\/keg\.test:8420\/acknowledge\/[\w.-]+$/);
  return new URL(link ?? '').pathname;
}
const look = (path: string) => ask(http, 'GET', path, { host: HOST });
const send = (path: string, headers: Record<string, string> = FORM) =>
  http.server.inject({ method: 'POST', url: path, remoteAddress: '192.168.7.20', headers: { host: HOST, ...headers } });
const titleOf = ({ body }: { readonly body: string }) => /<h1>(.*)<\/h1>/.exec(body)?.[1];

describe('a link that is good', () => {
  test('shows what it is about and one button, without a log-in, and changes nothing however often it is looked at', async () => {
    const alert = anAlert();
    for (let times = 0; times < 3; times += 1) {
      const page = await look(pathFor(alert));
      expect(page.statusCode).toBe(200);
      expect(page.headers['content-type']).toBe('text/html; charset=utf-8');
      expect(page.headers['cache-control']).toBe('no-store');
      expect(page.body).toContain('Amber &lt;b&gt; is warm.');
      expect(page.body.match(/<button/g)).toHaveLength(1);
      await ask(http, 'HEAD', pathFor(alert), { host: HOST });
    }
    expect(acknowledgedAtMs(alert)).toBeNull();
  });

  test('needs no script, and its policy lets in its one style and its own form alone', async () => {
    const { headers, body } = await look(pathFor(anAlert()));
    const style = /<style>(.*)<\/style>/.exec(body)?.[1] ?? '';
    expect(ACKNOWLEDGE_STYLE_HASH).toBe(`sha256-${createHash('sha256').update(style).digest('base64')}`);
    expect(headers['content-security-policy']).toBe(
      `default-src 'none'; style-src '${ACKNOWLEDGE_STYLE_HASH}'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'`,
    );
    expect(headers['referrer-policy']).toBe('same-origin');
    expect(body).not.toMatch(/<script|https?:|style=/);
  });

  test('acknowledges once it is sent; a second time says so and keeps the first time', async () => {
    const alert = anAlert();
    const path = pathFor(alert);
    const sent = await send(path);
    expect([sent.statusCode, titleOf(sent)]).toEqual([200, 'Acknowledged']);
    const atMs = acknowledgedAtMs(alert);
    expect(atMs).toBe(http.world.clock.nowMs());
    http.world.clock.advance(60_000);
    const again = await send(path);
    expect([again.statusCode, titleOf(again)]).toEqual([200, 'Acknowledged already']);
    expect(acknowledgedAtMs(alert)).toBe(atMs);
    expect((await look(path)).body).not.toContain('<button');
    expect(http.world.log.lines.join('\n')).toMatch(/acknowledged by its link/);
    expect(http.world.log.lines.join('\n')).not.toContain(path.split('/').at(-1));
  });

  test('says nothing for any other alert', async () => {
    const [one, two] = [anAlert('one'), anAlert('two')];
    await send(pathFor(one));
    expect(acknowledgedAtMs(one)).not.toBeNull();
    expect(acknowledgedAtMs(two)).toBeNull();
  });

  test('stands a restart', async () => {
    const alert = anAlert();
    const path = pathFor(alert);
    const again = await anHttpWorld(await http.world.restart(), { names: ['keg.test'] });
    const page = await ask(again, 'GET', path, { host: HOST });
    expect([page.statusCode, titleOf(page)]).toEqual([200, 'An alert']);
    await again.server.close();
  });
});

describe('a link that is not good says why, has no button, and acknowledges nothing', () => {
  const isRefused = async (alert: Episode, path: string, status: number, title: string) => {
    for (const answer of [await look(path), await send(path)]) {
      expect([answer.statusCode, titleOf(answer)]).toEqual([status, title]);
      expect(answer.body).not.toContain('<button');
    }
    expect(acknowledgedAtMs(alert)).toBeNull();
  };

  test('at the end of its seven days, and not a moment before', async () => {
    const alert = anAlert();
    const path = pathFor(alert);
    http.world.clock.advance(LINK_MS_MAX - 1);
    expect((await look(path)).statusCode).toBe(200);
    http.world.clock.advance(1);
    await isRefused(alert, path, 410, 'This link has expired');
    expect(LINK_MS_MAX).toBe(7 * 86_400_000);
  });

  test('with any one character changed, cut off or added', async () => {
    const alert = anAlert();
    const path = pathFor(alert);
    const begin = '/acknowledge/'.length;
    // The last of each part holds bits that mean nothing; a change there must be refused as well.
    for (let at = begin; at < path.length; at += 1) {
      const other = path[at] === 'A' ? 'B' : 'A';
      const { statusCode } = await send(`${path.slice(0, at)}${other}${path.slice(at + 1)}`);
      expect([404, 410]).toContain(statusCode);
    }
    for (const changed of [path.slice(0, -1), `${path}A`, path.split('.')[0] ?? '', '/acknowledge/a.b'])
      await isRefused(alert, changed, 404, 'This link is not known');
  });

  test('with the claim of one link under the signature of another', async () => {
    const [one, two] = [anAlert('one'), anAlert('two')];
    const [claim] = pathFor(two).split('.');
    const [, signature] = pathFor(one).split('.');
    await isRefused(two, `${claim}.${signature}`, 404, 'This link is not known');
    expect(acknowledgedAtMs(one)).toBeNull();
  });

  test('signed with the right key for another purpose', async () => {
    const alert = anAlert();
    const body = pathFor(alert).split('/').at(-1)?.split('.')[0] ?? '';
    const key = new SqliteOutboxJournal(http.world.database).keys.all().get('acknowledge')?.privateKey ?? '';
    const signature = createHmac('sha256', key).update(body).digest('base64url');
    await isRefused(alert, `/acknowledge/${body}.${signature}`, 404, 'This link is not known');
  });

  test('after the alert has ended', async () => {
    const alert = anAlert();
    const path = pathFor(alert);
    const atMs = http.world.clock.nowMs();
    const state = { kind: 'ended', beganAtMs: atMs, lastSampleMs: atMs, endedAtMs: atMs } as const;
    http.world.journal.saveEpisode({ ...alert, state });
    await isRefused(alert, path, 410, 'This is over');
  });

  test('after its person was removed', async () => {
    const alert = anAlert();
    const path = pathFor(alert);
    http.world.outbox.book().people.remove('anna');
    await isRefused(alert, path, 404, 'This link is not known');
  });

  test('after the owner renewed the links; new ones work', async () => {
    const alert = anAlert();
    const path = pathFor(alert);
    const renewal = '/api/v1/acknowledge-links/renewal';
    expect((await ask(http, 'POST', renewal)).statusCode).toBe(401);
    for (const role of ['viewer', 'operator'] as const)
      expect((await ask(http, 'POST', renewal, { cookie: await logIn(http, role) })).statusCode).toBe(403);
    expect((await look(path)).statusCode).toBe(200);
    expect((await ask(http, 'POST', renewal, { cookie: await logIn(http, 'owner') })).statusCode).toBe(204);
    await isRefused(alert, path, 410, 'This link was ended');
    await send(pathFor(alert));
    expect(acknowledgedAtMs(alert)).not.toBeNull();
  });
});

describe('the door', () => {
  test.each<[string, Record<string, string>]>([
    ['a page elsewhere', { ...FORM, origin: 'https://evil.example' }],
    ['a page that does not say which', { ...FORM, origin: 'null' }],
    ['another site', { 'content-type': FORM['content-type'], 'sec-fetch-site': 'cross-site' }],
  ])('refuses a form of %s', async (_what, headers) => {
    const alert = anAlert();
    const answer = await send(pathFor(alert), headers);
    expect(codeOf(answer)).toBe('403 foreign-page');
    expect(acknowledgedAtMs(alert)).toBeNull();
  });

  test('refuses a name that is not ours', async () => {
    const answer = await ask(http, 'GET', pathFor(anAlert()), { host: 'evil.example' });
    expect(codeOf(answer)).toBe('421 host-unknown');
  });

  test('takes a form here alone: every other route that takes a body wants JSON', async () => {
    const cookie = await logIn(http, 'owner');
    const changing = http.routes.filter(({ method }) => ['POST', 'PUT', 'PATCH'].includes(method));
    const others = changing.filter(({ url }) => url !== '/acknowledge/:token');
    expect(others.length).toBe(changing.length - 1);
    expect(others.length).toBeGreaterThan(25);
    for (const { method, url } of others) {
      const path = url.replace(/:\w+/g, 'none');
      const headers = { host: HOST, cookie, 'content-type': FORM['content-type'] };
      const options = { url: path, remoteAddress: '192.168.7.20', headers, payload: 'a=b' };
      const answer = await http.server.inject({ method: method as 'POST', ...options });
      expect(`${method} ${url} ${answer.statusCode}`).toBe(`${method} ${url} 415`);
    }
  });

  test('lets one address ask so often, then says how long to wait', async () => {
    const path = pathFor(anAlert());
    for (let asked = 0; asked < BURST; asked += 1) await look('/acknowledge/a.b');
    const answer = await look(path);
    expect(codeOf(answer)).toBe('429 too-many-requests');
    expect(answer.headers['retry-after']).toBe('5');
  });
});
