import { createHmac } from 'node:crypto';
import { afterEach, expect, test } from 'vitest';
import { systemClock } from '../../../src/adapters/clock/system-clock.ts';
import { guardedFindAddress } from '../../../src/adapters/outgoing/find-address.ts';
import { GuardedHttp } from '../../../src/adapters/outgoing/guarded-http.ts';
import { newWebhookSecret, webhookChannel, webhookSignature } from '../../../src/adapters/webhook/webhook-channel.ts';
import { HttpSink } from '../../support/http-sink.ts';
import { aMessage, NOBODY } from '../../support/outgoing-message.ts';

let sink: HttpSink;
afterEach(() => sink?.close());

/** @source the reference vector of the Standard Webhooks libraries */
test('signs as the reference vector says', () => {
  const secret = 'whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw';
  expect(webhookSignature(secret, 'msg_p5jXN8AQM9LWM0D4loKWxJek', 1614265330, '{"test": 2432232314}')).toBe(
    'v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=',
  );
});

test('makes secrets that are long enough and never the same', () => {
  const [one, other] = [newWebhookSecret(), newWebhookSecret()];
  expect(one).toMatch(/^whsec_[A-Za-z0-9+/]{43}=$/);
  expect(one).not.toBe(other);
});

test('sends what a receiver can verify from the headers and the bytes it got', async () => {
  sink = await HttpSink.open();
  const outgoing = new GuardedHttp({ findAddress: guardedFindAddress(true), clock: systemClock });
  const secret = newWebhookSecret();
  const channel = webhookChannel({ kind: 'webhook', url: sink.url('/hook'), secret }, outgoing, systemClock);
  expect(await channel.send(aMessage(), NOBODY)).toMatchObject({ kind: 'taken' });
  expect(await channel.send(aMessage({ what: 'test', episodes: [] }), NOBODY)).toMatchObject({ kind: 'taken' });
  const [alert, test] = sink.heard;
  const { 'webhook-id': id, 'webhook-timestamp': timestamp, 'webhook-signature': signature } = alert?.headers ?? {};
  expect(id).toBe('message-1');
  expect(Math.abs(Number(timestamp) - systemClock.nowMs() / 1000)).toBeLessThan(30);
  const key = Buffer.from(secret.slice('whsec_'.length), 'base64');
  const mac = createHmac('sha256', key)
    .update(`${id}.${timestamp}.`)
    .update(alert?.body ?? '')
    .digest('base64');
  expect(signature).toBe(`v1,${mac}`);
  expect(JSON.parse(String(alert?.body))).toEqual({
    type: 'alert.begin',
    timestamp: '2026-06-01T12:00:00.000Z',
    data: {
      level: 'attention',
      subject: aMessage().subject,
      text: aMessage().text,
      details: aMessage().details,
      link: 'http://keg.example:8420/kegs/one',
      kegId: 'one',
      episodes: [{ id: 'a', rule: 'fridge-warm' }],
    },
  });
  expect(JSON.parse(String(test?.body))).toMatchObject({ type: 'test' });
  sink.answer = (response) => response.writeHead(410).end();
  expect(await channel.send(aMessage(), NOBODY)).toMatchObject({ kind: 'gone' });
});
