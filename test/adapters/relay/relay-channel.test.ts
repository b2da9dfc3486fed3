import fc from 'fast-check';
import { afterEach, describe, expect, test } from 'vitest';
import { systemClock } from '../../../src/adapters/clock/system-clock.ts';
import { guardedFindAddress } from '../../../src/adapters/outgoing/find-address.ts';
import { GuardedHttp } from '../../../src/adapters/outgoing/guarded-http.ts';
import { relayChannel } from '../../../src/adapters/relay/relay-channel.ts';
import type { RelaySetting } from '../../../src/domain/delivery/channel.ts';
import { HttpSink } from '../../support/http-sink.ts';
import { aMessage, NOBODY } from '../../support/outgoing-message.ts';

let sink: HttpSink;
afterEach(() => sink?.close());

async function aRelay(change: Partial<RelaySetting>) {
  sink = await HttpSink.open();
  const outgoing = new GuardedHttp({ findAddress: guardedFindAddress(true), clock: systemClock });
  const setting = { kind: 'relay', method: 'POST', url: sink.url('/send'), headers: [], body: '', ...change } as const;
  return relayChannel({ ...setting, url: setting.url.replace('SINK', `127.0.0.1:${sink.port}`) }, outgoing);
}

describe('a relay', () => {
  test('fills its template in, as JSON unless its headers say otherwise', async () => {
    const relay = await aRelay({
      headers: [{ name: 'Authorization', value: 'Bearer hop' }],
      body: '{"to":"{{ address }}","say":"{{details}}","about":"{{keg}}","level":"{{level}}","no":"{{nothing}}"}',
    });
    await relay.send(aMessage({ details: 'a "quote"\nand {{link}} \\' }), { ...NOBODY, address: '+43 1 "x"' });
    const [heard] = sink.heard;
    expect(heard?.headers).toMatchObject({ authorization: 'Bearer hop', 'content-type': 'application/json' });
    expect(JSON.parse(String(heard?.body))).toEqual({
      to: '+43 1 "x"',
      say: 'a "quote"\nand {{link}} \\',
      about: 'one',
      level: 'attention',
      no: '{{nothing}}',
    });
  });

  test('encodes values in forms and addresses, and leaves plain text as it is', async () => {
    const form = { name: 'content-type', value: 'application/x-www-form-urlencoded' };
    const relay = await aRelay({
      url: 'http://SINK/to/{{address}}?s={{subject}}',
      headers: [form],
      body: 'm={{text}}&x={{link}}',
    });
    await relay.send(aMessage({ subject: 'a&b=c d', text: '1 & 2 = 3', link: null }), {
      ...NOBODY,
      address: '../admin?x',
    });
    expect(sink.heard[0]?.url).toBe('/to/..%2Fadmin%3Fx?s=a%26b%3Dc%20d');
    expect(String(sink.heard[0]?.body)).toBe('m=1%20%26%202%20%3D%203&x=');
    await sink.close();
    const plain = await aRelay({ headers: [{ name: 'Content-Type', value: 'text/plain' }], body: '{{text}}' });
    await plain.send(aMessage({ text: 'a "b"' }), NOBODY);
    expect(String(sink.heard[0]?.body)).toBe('a "b"');
  });

  test('that only asks sends no body', async () => {
    const relay = await aRelay({ method: 'GET', url: 'http://SINK/say?{{text}}', body: 'no' });
    await relay.send(aMessage({ text: 'beer' }), NOBODY);
    expect(sink.heard).toMatchObject([{ method: 'GET', url: '/say?beer' }]);
    expect(sink.heard[0]?.body).toHaveLength(0);
  });

  test('stays whole JSON, and a header stays a header, whatever the words are', async () => {
    const relay = await aRelay({ body: '{"a":"{{text}}","b":["{{subject}}"]}' });
    await fc.assert(
      fc.asyncProperty(fc.string({ unit: 'binary' }), fc.string(), async (text, subject) => {
        await relay.send(aMessage({ text, subject }), NOBODY);
        // A half of a character cannot be sent as UTF-8.
        const wanted = { a: text.toWellFormed(), b: [subject.toWellFormed()] };
        expect(JSON.parse(String(sink.heard.at(-1)?.body))).toEqual(wanted);
      }),
      { numRuns: 40 },
    );
  });
});
