/** Aim: only the browser can read a message, and a push service knows who sends it. */
import { createDecipheriv, createECDH, createPublicKey, hkdfSync, verify } from 'node:crypto';
import { afterEach, describe, expect, test } from 'vitest';
import { systemClock } from '../../../src/adapters/clock/system-clock.ts';
import { guardedFindAddress } from '../../../src/adapters/outgoing/find-address.ts';
import { GuardedHttp } from '../../../src/adapters/outgoing/guarded-http.ts';
import { drawLots, encryptForBrowser } from '../../../src/adapters/web-push/encrypt.ts';
import { makeVapidKeys } from '../../../src/adapters/web-push/vapid.ts';
import { webPushChannel } from '../../../src/adapters/web-push/web-push-channel.ts';
import { HttpSink } from '../../support/http-sink.ts';
import { aMessage, NOBODY } from '../../support/outgoing-message.ts';

let sink: HttpSink | null = null;
afterEach(async () => {
  await sink?.close();
  sink = null;
});

/** @source RFC 8291, appendix A: intermediate values for encryption, and section 5: the result */
const RFC = {
  plaintext: 'When I grow up, I want to be a watermelon',
  senderPrivate: 'yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw',
  senderPublic: 'BP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A8',
  receiverPrivate: 'q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94',
  receiverPublic: 'BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4',
  salt: 'DGv6ra1nlYgDCS1FRnbzlw',
  auth: 'BTBZMqHH6r4Tts7J_aSIgg',
  result:
    'DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN',
};
const bytes = (text: string) => Buffer.from(text, 'base64url');

/** What a browser does with what it gets (RFC 8291, section 3.4, from the other side). */
function decrypt(sealed: Buffer, receiverPrivate: Buffer, auth: Buffer): string {
  const receiver = createECDH('prime256v1');
  receiver.setPrivateKey(receiverPrivate);
  const salt = sealed.subarray(0, 16);
  const idLength = sealed[20] ?? 0;
  const sender = sealed.subarray(21, 21 + idLength);
  const rest = sealed.subarray(21 + idLength);
  const info = Buffer.concat([Buffer.from('WebPush: info\0'), receiver.getPublicKey(), sender]);
  const input = Buffer.from(hkdfSync('sha256', receiver.computeSecret(sender), auth, info, 32));
  const key = Buffer.from(hkdfSync('sha256', input, salt, 'Content-Encoding: aes128gcm\0', 16));
  const nonce = Buffer.from(hkdfSync('sha256', input, salt, 'Content-Encoding: nonce\0', 12));
  const decipher = createDecipheriv('aes-128-gcm', key, nonce);
  decipher.setAuthTag(rest.subarray(-16));
  const padded = Buffer.concat([decipher.update(rest.subarray(0, -16)), decipher.final()]);
  const end = padded.lastIndexOf(2);
  return padded.subarray(0, end).toString('utf8');
}

describe('encryption', () => {
  test('gives the bytes of RFC 8291, bit for bit', () => {
    const sender = createECDH('prime256v1');
    sender.setPrivateKey(bytes(RFC.senderPrivate));
    expect(sender.getPublicKey('base64url')).toBe(RFC.senderPublic);
    const receiver = { p256dh: RFC.receiverPublic, auth: RFC.auth };
    const sealed = encryptForBrowser(Buffer.from(RFC.plaintext), receiver, { salt: bytes(RFC.salt), sender });
    expect(sealed.toString('base64url')).toBe(RFC.result);
    expect(decrypt(sealed, bytes(RFC.receiverPrivate), bytes(RFC.auth))).toBe(RFC.plaintext);
  });

  test('is never the same twice', () => {
    const seal = () => encryptForBrowser(Buffer.from('a'), { p256dh: RFC.receiverPublic, auth: RFC.auth }, drawLots());
    expect(seal().equals(seal())).toBe(false);
  });
});

async function aPushService() {
  const service = await HttpSink.open();
  sink = service;
  const browser = createECDH('prime256v1');
  const p256dh = browser.generateKeys('base64url');
  const keys = makeVapidKeys();
  const outgoing = new GuardedHttp({ findAddress: guardedFindAddress(true), clock: systemClock });
  const options = { outgoing, clock: systemClock, keys: () => keys };
  const channel = webPushChannel({ kind: 'web-push', contact: 'mailto:keg@club.example' }, options);
  const subscription = {
    subscriptionId: 's1',
    personId: 'anna',
    channelId: 'push',
    endpoint: service.url('/push/1'),
    p256dh,
    auth: RFC.auth,
  };
  return { service, browser, keys, channel, recipient: { address: null, subscription } };
}

describe('a push service', () => {
  test('gets what the browser can read, how long to keep it, and how much it presses', async () => {
    const { service, browser, channel, recipient } = await aPushService();
    service.answer = (response) => response.writeHead(201).end();
    expect(await channel.send(aMessage({ level: 'urgent' }), recipient)).toEqual({
      kind: 'taken',
      answer: '201 Created',
    });
    const [heard] = service.heard;
    expect(heard).toMatchObject({ method: 'POST', url: '/push/1' });
    expect(heard?.headers).toMatchObject({ 'content-encoding': 'aes128gcm', ttl: '86400', urgency: 'high' });
    const read = decrypt(heard?.body ?? Buffer.alloc(0), browser.getPrivateKey(), bytes(RFC.auth));
    const { id: tag, what, subject: title, text: body, link } = aMessage();
    expect(JSON.parse(read)).toEqual({ tag, what, level: 'urgent', title, body, link });
  });

  test('can tell who sends, by a signature that its own key library takes', async () => {
    const { service, channel, recipient, keys } = await aPushService();
    await channel.send(aMessage({ level: 'news' }), recipient);
    expect(service.heard[0]?.headers.urgency).toBe('normal');
    const [, token = '', k = ''] =
      /^vapid t=([^,]+), k=(.+)$/.exec(service.heard[0]?.headers.authorization ?? '') ?? [];
    expect(k).toBe(keys.publicKey);
    const [head = '', claims = '', signature = ''] = token.split('.');
    expect(JSON.parse(String(bytes(head)))).toEqual({ typ: 'JWT', alg: 'ES256' });
    const told = JSON.parse(String(bytes(claims)));
    expect(told).toMatchObject({ aud: new URL(service.url()).origin, sub: 'mailto:keg@club.example' });
    const aheadS = told.exp - systemClock.nowMs() / 1000;
    expect(aheadS > 3600 && aheadS < 24 * 3600).toBe(true);
    const point = bytes(keys.publicKey);
    const [x, y] = [point.subarray(1, 33), point.subarray(33)].map((half) => half.toString('base64url'));
    const key = createPublicKey({ key: { kty: 'EC', crv: 'P-256', x: x ?? '', y: y ?? '' }, format: 'jwk' });
    const isRight = verify(
      'sha256',
      Buffer.from(`${head}.${claims}`),
      { key, dsaEncoding: 'ieee-p1363' },
      bytes(signature),
    );
    expect(isRight).toBe(true);
  });

  test.each([
    [404, 'gone'],
    [410, 'gone'],
    [401, 'failed'],
    [429, 'failed'],
    [500, 'failed'],
  ])('that answers %d means: %s', async (status, kind) => {
    const { service, channel, recipient } = await aPushService();
    service.answer = (response) => response.writeHead(status).end();
    expect(await channel.send(aMessage(), recipient)).toMatchObject({ kind });
  });

  test('that cannot be reached is asked again, and never forgotten for it', async () => {
    const { service, channel, recipient } = await aPushService();
    await service.close();
    sink = null;
    expect(await channel.send(aMessage(), recipient)).toMatchObject({ kind: 'failed', isCertain: true });
  });
});

test('without a browser nothing can be sent, and keys that are none end the subscription', async () => {
  const { channel, recipient } = await aPushService();
  expect(await channel.send(aMessage(), NOBODY)).toMatchObject({ kind: 'refused' });
  const broken = { address: null, subscription: { ...recipient.subscription, p256dh: 'AAAA' } };
  expect(await channel.send(aMessage(), broken)).toMatchObject({ kind: 'gone' });
});
