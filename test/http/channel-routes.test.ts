/** Aim: channels and people are set up, shown without secrets, tried, and refused where they could do harm. */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Delivery } from '../../src/ports/channel.ts';
import { MINUTE, SECOND } from '../support/builders.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';
import { settle } from '../support/until.ts';

let http: HttpWorld;
beforeEach(async () => {
  http = await anHttpWorld();
});
afterEach(() => http.server.close());

const MAIL = {
  kind: 'email',
  channelId: 'mail',
  name: 'Club mail',
  host: 'mail.club.example',
  from: 'keg@club.example',
};
const LOGIN = { ...MAIL, user: 'keg', password: 'hop-garden' };
const HOOK = { kind: 'webhook', channelId: 'house', name: 'House', url: 'https://house.example/hook', program: true };
const RELAY = {
  kind: 'relay',
  channelId: 'relay',
  name: 'Phone',
  url: 'https://relay.example/{{address}}',
  headers: [{ name: 'Authorization', value: 'Bearer hop' }],
  body: '{"text":"{{text}}"}',
};
const PUSH = { kind: 'web-push', channelId: 'push', name: 'Browsers', contact: 'mailto:keg@club.example' };
const ANNA = { name: 'Anna', ways: [{ channelId: 'mail', address: 'anna@club.example' }] };
const BROWSER = {
  channelId: 'push',
  subscription: {
    endpoint: 'https://push.example/1',
    expirationTime: null,
    keys: {
      p256dh: 'BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4',
      auth: 'BTBZMqHH6r4Tts7J_aSIgg',
    },
  },
};

const put = (...channels: object[]) => http.ask('PUT', '/channels', { channels });
const channel = async (channelId: string) => {
  const { channels } = (await http.ask('GET', '/channels')).json();
  return channels.find((one: { channelId: string }) => one.channelId === channelId);
};

describe('channels', () => {
  test('are there from the start: open pages and the broker', async () => {
    const { channels } = (await http.ask('GET', '/channels')).json();
    expect(channels).toMatchObject([
      { channelId: 'live', builtIn: true, state: 'works' },
      { channelId: 'mqtt', builtIn: true, program: true, state: 'untried', setting: {} },
    ]);
  });

  test('are set up, and shown without what is secret', async () => {
    const answer = await put(LOGIN, HOOK, RELAY, PUSH);
    expect(answer.statusCode).toBe(200);
    expect(answer.body).not.toMatch(/hop-garden|Bearer hop/);
    expect(await channel('mail')).toMatchObject({
      name: 'Club mail',
      state: 'untried',
      waiting: 0,
      setting: { port: 587, security: 'starttls', user: 'keg', passwordSet: true },
    });
    expect(await channel('relay')).toMatchObject({ setting: { method: 'POST', headers: [{ name: 'Authorization' }] } });
    expect(await channel('push')).toMatchObject({ setting: { contact: 'mailto:keg@club.example' } });
  });

  test('get a signing secret that is told once', async () => {
    const made = (await put(HOOK)).json().channels[2].newSecret;
    expect(made).toMatch(/^whsec_/);
    expect((await put(HOOK)).json().channels[2].newSecret).toBeNull();
    expect(await channel('house')).toMatchObject({ newSecret: null });
    expect(http.world.outbox.book().channels.get('house')).toMatchObject({ secret: made });
  });

  test('keep a secret that is left out, but not for another host', async () => {
    await put(LOGIN, RELAY);
    const { password: _, ...silent } = LOGIN;
    const bare = { ...RELAY, headers: [{ name: 'authorization' }] };
    expect((await put({ ...silent, port: 25 }, { ...bare, body: '' })).statusCode).toBe(200);
    expect(http.world.outbox.book().channels.get('mail')).toMatchObject({ port: 25, password: 'hop-garden' });
    expect(http.world.outbox.book().channels.get('relay')).toMatchObject({ headers: [{ value: 'Bearer hop' }] });
    const elsewhere = await put({ ...silent, host: 'mail.evil.example' }, RELAY);
    expect(elsewhere.json().detail).toMatch(/give user and password together/);
    const stolen = await put(LOGIN, { ...bare, url: 'https://evil.example/' });
    expect(stolen.json().detail).toMatch(/the header authorization has no value yet/);
  });

  test.each([
    ['two of one id', [MAIL, MAIL], /mail is there twice/],
    ['one with the id of a built-in', [{ ...MAIL, channelId: 'mqtt' }], /mqtt is built in/],
    ['a sender that is no address', [{ ...MAIL, from: 'keg' }], /no mail address/],
    ['a password in the clear', [{ ...LOGIN, security: 'none' }], /readable on the way/],
    ['a host that is an address', [{ ...MAIL, host: 'http://x/' }], /without http/],
    ['a user in the address', [{ ...HOOK, url: 'https://u:p@house.example/' }], /without a user/],
    ['another scheme', [{ ...HOOK, url: 'file:///etc/passwd' }], /give an address such as https/],
    ['a placeholder for the host', [{ ...RELAY, url: 'https://{{address}}/' }], /behind the host/],
    ['a placeholder that is none', [{ ...RELAY, body: '{{txt}}' }], /\{\{txt\}\} is no placeholder/],
    ['a header with two lines', [{ ...RELAY, headers: [{ name: 'a', value: 'b\r\nc: d' }] }], /one line/],
    ['a header with no name', [{ ...RELAY, headers: [{ name: 'a b', value: 'c' }] }], /no name of a header/],
    ['a header of the carrier', [{ ...RELAY, headers: [{ name: 'Host', value: 'c' }] }], /set by the service/],
    ['a secret that is too short', [{ ...HOOK, secret: 'whsec_c2hvcnQ=' }], /24 to 64 bytes/],
    ['a program among browsers', [{ ...PUSH, program: true }], /program/],
    ['what is not known', [{ ...MAIL, colour: 'red' }], /colour/],
    ['a kind that is not known', [{ ...MAIL, kind: 'pigeon' }], /./],
  ])('are refused with %s', async (_what, channels, why) => {
    const answer = await put(...channels);
    expect(answer.statusCode).toBe(400);
    expect(answer.json().detail).toMatch(why);
    expect((await http.ask('GET', '/channels')).json().channels).toHaveLength(2);
  });
});

describe('people', () => {
  test('are set up with what is usual where nothing is said', async () => {
    await put(MAIL);
    expect((await http.ask('PUT', '/people/anna', ANNA)).json()).toEqual({
      personId: 'anna',
      name: 'Anna',
      timeZone: null,
      units: null,
      quietHours: null,
      leastLevel: 'news',
      escalateAfterMin: null,
      ways: [{ channelId: 'mail', address: 'anna@club.example', step: 'first' }],
      browsers: [],
      reachable: true,
    });
    const whole = {
      ...ANNA,
      timeZone: 'Europe/Vienna',
      quietHours: { from: '22:05', to: '07:00' },
      units: { temperature: '[degF]', pressure: '[psi]', carbonation: 'volumes' },
      escalateAfterMin: 30,
      leastLevel: 'attention',
    };
    await http.ask('PUT', '/people/anna', whole);
    expect((await http.ask('GET', '/people')).json().people).toMatchObject([whole]);
    expect((await http.ask('DELETE', '/people/anna')).statusCode).toBe(204);
    expect((await http.ask('DELETE', '/people/anna')).json().type).toBe('urn:quietkeg:problem:person-unknown');
    expect((await http.ask('GET', '/people')).json().people).toEqual([]);
  });

  test.each([
    ['a channel that is not there', { ways: [{ channelId: 'pigeon' }] }, /no channel pigeon/],
    ['a channel twice', { ways: [...ANNA.ways, ...ANNA.ways] }, /there twice/],
    ['a channel of a program', { ways: [{ channelId: 'house' }] }, /is for a program/],
    ['no mail address', { ways: [{ channelId: 'mail' }] }, /needs a mail address/],
    [
      'two mail addresses',
      { ways: [{ channelId: 'mail', address: 'a@b.example,c@d.example' }] },
      /needs a mail address/,
    ],
    ['a line break', { ways: [{ channelId: 'mail', address: 'a@b.example\r\nBcc: c@d.example' }] }, /one line/],
    ['only a second way', { ways: [{ ...ANNA.ways[0], step: 'second' }] }, /needs a first one/],
    [
      'a second way and no time',
      { ways: [...ANNA.ways, { channelId: 'relay', step: 'second' }] },
      /after how many minutes/,
    ],
    ['no time zone', { timeZone: 'Mars/Olympus' }, /no IANA time zone/],
    ['quiet hours without end', { quietHours: { from: '07:00', to: '07:00' } }, /another time/],
    ['quiet hours of no clock', { quietHours: { from: '24:00', to: '07:00' } }, /such as 22:00/],
  ])('are refused with %s', async (_what, change, why) => {
    await put(MAIL, HOOK, RELAY);
    const answer = await http.ask('PUT', '/people/anna', { ...ANNA, ...change });
    expect(answer.statusCode).toBeGreaterThanOrEqual(400);
    expect(answer.json().detail).toMatch(why);
  });

  test('keep their channels from being removed', async () => {
    await put(MAIL);
    await http.ask('PUT', '/people/anna', ANNA);
    const answer = await put();
    expect(answer.statusCode).toBe(409);
    expect(answer.json().detail).toBe('The channel mail is a way to Anna. Change that person first.');
  });
});

describe('browsers', () => {
  test('ask for messages once, however often they ask, and are shown by the service that carries them', async () => {
    await put(PUSH);
    await http.ask('PUT', '/people/anna', { name: 'Anna', ways: [{ channelId: 'push' }] });
    const { subscriptionId } = (await http.ask('PUT', '/people/anna/browsers', BROWSER)).json();
    expect((await http.ask('PUT', '/people/anna/browsers', BROWSER)).json().subscriptionId).toBe(subscriptionId);
    const [anna] = (await http.ask('GET', '/people')).json().people;
    expect(anna).toMatchObject({
      browsers: [{ subscriptionId, channelId: 'push', service: 'push.example' }],
      reachable: true,
    });
    expect((await http.ask('DELETE', `/people/anna/browsers/${subscriptionId}`)).statusCode).toBe(204);
    expect((await http.ask('DELETE', `/people/anna/browsers/${subscriptionId}`)).statusCode).toBe(404);
    expect((await http.ask('GET', '/people')).json().people[0]).toMatchObject({ browsers: [], reachable: false });
    expect((await http.ask('GET', '/push-key')).json().publicKey).toMatch(/^B/);
  });

  test('are refused without their person, channel, or keys, and beyond twenty', async () => {
    await put(PUSH, MAIL);
    expect((await http.ask('PUT', '/people/anna/browsers', BROWSER)).statusCode).toBe(404);
    await http.ask('PUT', '/people/anna', ANNA);
    expect((await http.ask('PUT', '/people/anna/browsers', { ...BROWSER, channelId: 'mail' })).statusCode).toBe(404);
    const { subscription } = BROWSER;
    for (const change of [{ endpoint: 'http://push.example/' }, { keys: { p256dh: 'B', auth: 'x' } }]) {
      const answer = await http.ask('PUT', '/people/anna/browsers', {
        ...BROWSER,
        subscription: { ...subscription, ...change },
      });
      expect(answer.statusCode).toBe(400);
    }
    for (let number = 0; number < 20; number += 1) {
      const endpoint = `https://push.example/${number}`;
      await http.ask('PUT', '/people/anna/browsers', { ...BROWSER, subscription: { ...subscription, endpoint } });
    }
    const further = { ...BROWSER, subscription: { ...subscription, endpoint: 'https://push.example/21' } };
    expect((await http.ask('PUT', '/people/anna/browsers', further)).statusCode).toBe(409);
    await http.ask('DELETE', '/people/anna');
    expect(http.world.outbox.book().subscriptions.ids()).toEqual([]);
  });
});

describe('a test', () => {
  let delivery: Delivery = { kind: 'taken', answer: '250 ok' };
  const sent: string[] = [];
  beforeEach(() => {
    sent.length = 0;
    http.world.openChannel = () => ({
      send: async ({ what }, { address, subscription }) => {
        sent.push(`${what} ${address ?? subscription?.endpoint ?? 'nobody'}`);
        return delivery;
      },
    });
  });
  const ask = async (channelId: string, body: object = {}) =>
    (await http.ask('POST', `/channels/${channelId}/test`, body)).json();

  test('shows the remote’s real answer, without secrets it repeats', async () => {
    await put(LOGIN, PUSH);
    await http.ask('PUT', '/people/anna', { ...ANNA, ways: [...ANNA.ways, { channelId: 'push' }] });
    await http.ask('PUT', '/people/anna/browsers', BROWSER);
    delivery = { kind: 'refused', answer: '550 no hop-garden here\r\n' };
    expect(await ask('mail', { personId: 'anna' })).toEqual({
      results: [{ to: 'anna@club.example', outcome: 'refused', answer: '550 no ••• here', tookMs: 0 }],
    });
    expect((await ask('mail', { address: 'ben@club.example' })).results).toMatchObject([{ to: 'ben@club.example' }]);
    expect((await ask('push', { personId: 'anna' })).results).toMatchObject([{ to: 'push.example' }]);
    expect((await ask('mqtt')).results).toMatchObject([{ to: 'mqtt' }]);
    expect((await ask('live')).results[0].answer).toMatch(/no person/);
    expect(sent).toEqual([
      'test anna@club.example',
      'test ben@club.example',
      'test https://push.example/1',
      'test nobody',
    ]);
  });

  test('is refused where nobody could get it', async () => {
    await put(PUSH, MAIL);
    await http.ask('PUT', '/people/anna', ANNA);
    for (const [channelId, body, status] of [
      ['pigeon', {}, 404],
      ['push', {}, 400],
      ['push', { personId: 'anna' }, 404],
      ['mail', { personId: 'ben' }, 404],
    ] as const) {
      expect((await http.ask('POST', `/channels/${channelId}/test`, body)).statusCode).toBe(status);
    }
  });

  test('that works lets what waits go out at once', async () => {
    await put(MAIL);
    await http.ask('PUT', '/people/anna', ANNA);
    const { world } = http;
    delivery = { kind: 'failed', answer: '421 later', isCertain: true, retryAfterMs: 20 * MINUTE };
    for (let minute = 0; minute <= 12; minute += 1) {
      await world.beer(1.5);
      world.clock.advance(MINUTE);
      world.outbox.tick();
      await settle(3);
    }
    expect(await channel('mail')).toMatchObject({
      state: 'retrying',
      waiting: 1,
      failures: 1,
      lastAnswer: '421 later',
    });
    delivery = { kind: 'taken', answer: '250 ok' };
    sent.length = 0;
    await ask('mail', { personId: 'anna' });
    world.clock.advance(SECOND);
    world.outbox.tick();
    await settle(3);
    expect(sent).toEqual(['test anna@club.example', 'begin anna@club.example']);
    expect(await channel('mail')).toMatchObject({ state: 'works', waiting: 0, delivered: 1, nextTryAt: null });
  });
});
