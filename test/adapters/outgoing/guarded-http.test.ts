/** Aim: what is sent to addresses that people entered goes only where it may, once, and always ends. Real servers on loopback. */
import { afterEach, describe, expect, test } from 'vitest';
import { systemClock } from '../../../src/adapters/clock/system-clock.ts';
import { guardedFindAddress } from '../../../src/adapters/outgoing/find-address.ts';
import { GuardedHttp } from '../../../src/adapters/outgoing/guarded-http.ts';
import type { OutgoingRequest } from '../../../src/ports/outgoing.ts';
import { HttpSink } from '../../support/http-sink.ts';
import { TEST_CERTIFICATE } from '../../support/test-certificate.ts';
import { until } from '../../support/until.ts';

const sinks: HttpSink[] = [];
afterEach(async () => {
  for (const sink of sinks.splice(0)) await sink.close();
});
async function aSink(options = {}): Promise<HttpSink> {
  const sink = await HttpSink.open(options);
  sinks.push(sink);
  return sink;
}

const loopback = async () => [{ address: '127.0.0.1', family: 4 }];
const http = (totalMsMax = 5000, allowLocal = true) => {
  return new GuardedHttp({
    findAddress: guardedFindAddress(allowLocal, loopback),
    clock: systemClock,
    totalMsMax,
    ca: TEST_CERTIFICATE,
  });
};
const post = (url: string, change: Partial<OutgoingRequest> = {}): OutgoingRequest => {
  return { method: 'POST', url, headers: { 'content-type': 'text/plain' }, body: 'beer', goneAt: [410], ...change };
};

describe('an answer', () => {
  test.each([
    [200, { kind: 'taken', answer: '200 OK: well' }],
    [204, { kind: 'taken', answer: '204 No Content' }],
    [400, { kind: 'refused', answer: '400 Bad Request: well' }],
    [413, { kind: 'refused' }],
    [401, { kind: 'failed', isCertain: true, answer: '401 Unauthorized: well' }],
    [404, { kind: 'failed', isCertain: true }],
    [410, { kind: 'gone', answer: '410 Gone: well' }],
    [429, { kind: 'failed', isCertain: true, retryAfterMs: null }],
    [500, { kind: 'failed', isCertain: false }],
    [503, { kind: 'failed', isCertain: true }],
  ])('of %d is told as %j', async (status, wanted) => {
    const sink = await aSink();
    sink.answer = (response) => response.writeHead(status).end('well');
    expect(await http().send(post(sink.url('/x?y=1')))).toMatchObject(wanted);
    expect(sink.heard).toMatchObject([{ method: 'POST', url: '/x?y=1' }]);
    expect(String(sink.heard[0]?.body)).toBe('beer');
    expect(sink.heard[0]?.headers).toMatchObject({ 'user-agent': 'Quietkeg', 'content-length': '4' });
  });

  test('that asks for patience is obeyed, in seconds and as a date', async () => {
    const sink = await aSink();
    sink.answer = (response) => response.writeHead(429, { 'retry-after': '120' }).end();
    expect(await http().send(post(sink.url()))).toMatchObject({ retryAfterMs: 120_000 });
    const inTenMinutes = new Date(systemClock.nowMs() + 600_000).toUTCString();
    sink.answer = (response) => response.writeHead(503, { 'retry-after': inTenMinutes }).end();
    const delivery = await http().send(post(sink.url()));
    const waitMs = delivery.kind === 'failed' ? (delivery.retryAfterMs ?? 0) : 0;
    expect(Math.abs(waitMs - 600_000)).toBeLessThan(10_000);
  });

  test.each([301, 302, 303, 307, 308])('of %d is not followed', async (status) => {
    const target = await aSink();
    const sink = await aSink();
    sink.answer = (response) => response.writeHead(status, { location: target.url('/secret') }).end();
    const delivery = await http().send(post(sink.url()));
    expect(delivery).toMatchObject({ kind: 'failed', isCertain: true });
    expect(delivery.answer).toMatch(/sends on to another address/);
    expect(target.heard).toEqual([]);
  });

  test('without end is read so far and no further', async () => {
    const sink = await aSink();
    sink.answer = (response) => {
      const pour = () => {
        while (!response.destroyed && response.write('beer '.repeat(2000))) {}
        response.once('drain', pour);
      };
      pour();
    };
    const { kind, answer } = await http().send(post(sink.url()));
    expect(kind).toBe('taken');
    expect(answer.length).toBeLessThan(300);
    await until('the connection is closed', () => sink.connections() === 0);
  });

  test('that never comes is waited for no longer than allowed; it may have arrived', async () => {
    const sink = await aSink();
    sink.answer = () => {};
    const began = performance.now();
    expect(await http(300).send(post(sink.url()))).toMatchObject({
      kind: 'failed',
      isCertain: false,
      answer: 'no answer within 0.3 s',
    });
    expect(performance.now() - began).toBeLessThan(3000);
    await until('the connection is closed', () => sink.connections() === 0);
  });

  test('that breaks off may have arrived; a server that is not there got nothing', async () => {
    const sink = await aSink();
    sink.answer = (response) => response.socket?.destroy();
    expect(await http().send(post(sink.url()))).toMatchObject({ kind: 'failed', isCertain: false });
    const url = sink.url();
    await sink.close();
    sinks.splice(0);
    const delivery = await http().send(post(url));
    expect(delivery).toMatchObject({ kind: 'failed', isCertain: true });
    expect(delivery.answer).toMatch(/ECONNREFUSED/);
  });

  test('cannot break out of its line', async () => {
    const sink = await aSink();
    sink.answer = (response) => response.end('a\r\n\u001b[31mb');
    expect((await http().send(post(sink.url()))).answer).toBe('200 OK: a [31mb');
  });
});

describe('HTTPS', () => {
  test('goes to the judged address, and the certificate must be the host’s', async () => {
    const sink = await aSink({ isTls: true });
    expect(await http().send(post(sink.url('/', 'mail.quietkeg.test')))).toMatchObject({ kind: 'taken' });
    expect(sink.heard[0]?.headers.host).toBe(`mail.quietkeg.test:${sink.port}`);
    const other = await http().send(post(sink.url('/', 'other.quietkeg.test')));
    expect(other).toMatchObject({ kind: 'failed', isCertain: true });
    expect(other.answer).toMatch(/altnames|certificate/i);
    expect(sink.heard).toHaveLength(1);
  });
});

describe('an address', () => {
  const find = (found: readonly string[], allowLocal = true) => {
    return guardedFindAddress(allowLocal, async () =>
      found.map((address) => ({ address, family: address.includes(':') ? 6 : 4 })),
    );
  };

  test('is looked up once, and that answer is used: a name that changes meanwhile changes nothing', async () => {
    const sink = await aSink();
    let asked = 0;
    const findAddress = guardedFindAddress(true, async () => {
      asked += 1;
      return [{ address: asked === 1 ? '127.0.0.1' : '169.254.169.254', family: 4 }];
    });
    const once = new GuardedHttp({ findAddress, clock: systemClock });
    expect(await once.send(post(sink.url('/', 'rebinding.example')))).toMatchObject({ kind: 'taken' });
    expect(asked).toBe(1);
  });

  test.each(['169.254.169.254', '0.0.0.0', '224.0.0.1', 'fe80::1', '::ffff:169.254.1.1', '100.100.100.200'])(
    'of %s is never sent to, as a name or as it is',
    async (address) => {
      expect(await find([address])('host.example')).toMatchObject({ ok: false });
      const host = address.includes(':') ? `[${address}]` : address;
      const delivery = await http().send(post(`http://${host}/latest`));
      expect(delivery).toMatchObject({ kind: 'failed', isCertain: true });
      expect(delivery.answer).toMatch(/nothing is sent there/);
    },
  );

  test('of this house is sent to unless it is forbidden, also where numbers hide it', async () => {
    const sink = await aSink();
    expect(await http(5000, false).send(post(sink.url()))).toMatchObject({
      kind: 'failed',
      answer: '127.0.0.1 is at 127.0.0.1, a loopback address: nothing is sent there; outgoing.allowLocal allows it',
    });
    for (const hidden of ['2130706433', '0x7f.1', '0177.0.0.1', '[::ffff:7f00:1]']) {
      expect(await http(5000, false).send(post(`http://${hidden}:${sink.port}/`))).toMatchObject({
        kind: 'failed',
        isCertain: true,
      });
    }
    expect(sink.heard).toEqual([]);
    expect(await http().send(post(`http://2130706433:${sink.port}/`))).toMatchObject({ kind: 'taken' });
  });

  test('beside a forbidden one makes the name forbidden', async () => {
    expect(await find(['9.9.9.9', '169.254.169.254'])('both.example')).toMatchObject({ ok: false });
    expect(await find(['9.9.9.9', '2620:fe::9'])('both.example')).toEqual({ ok: true, address: '9.9.9.9', family: 4 });
    expect(await find(['2620:fe::9'])('six.example')).toEqual({ ok: true, address: '2620:fe::9', family: 6 });
  });

  test('that is not there is told as such', async () => {
    expect(await find([])('none.example')).toEqual({ ok: false, why: 'the name none.example has no address' });
    const unknown = guardedFindAddress(true, async () => {
      throw Object.assign(new Error('no'), { code: 'ENOTFOUND' });
    });
    expect(await unknown('x.example')).toEqual({ ok: false, why: 'the name x.example is not known (ENOTFOUND)' });
    expect(await guardedFindAddress(true)('localhost')).toMatchObject({ ok: true });
    expect(await http().send(post('ftp://127.0.0.1/'))).toMatchObject({
      kind: 'failed',
      answer: 'the address is no http or https address',
    });
    const slow = new GuardedHttp({ findAddress: () => new Promise(() => {}), clock: systemClock, totalMsMax: 50 });
    expect(await slow.send(post('http://slow.example/'))).toMatchObject({
      answer: 'slow.example was not found in time',
    });
  });
});
