/** What a broker shows of how well it keeps messages, and what it takes to get in. */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { letsAnybodyIn } from '../../../src/adapters/mqtt/anonymous-access.ts';
import { MqttBroker } from '../../../src/adapters/mqtt/mqtt-broker.ts';
import { sysNews } from '../../../src/adapters/mqtt/sys-topics.ts';
import type { BrokerNews, IncomingMessage } from '../../../src/ports/broker.ts';
import { InProcessBroker } from '../../support/in-process-broker.ts';
import { settle, until } from '../../support/until.ts';

let outside: InProcessBroker;
let broker: MqttBroker;
let news: BrokerNews[];
let taken: (IncomingMessage & { readonly done: (error: Error | null) => void })[];

beforeEach(async () => {
  outside = await InProcessBroker.start();
  broker = new MqttBroker({ url: outside.url(), clientId: 'quietkeg', reconnectMs: 20 });
  news = [];
  taken = [];
  broker.watch((one) => news.push(one));
});
afterEach(async () => {
  await broker.stop();
  await outside.stop();
});

const start = () => broker.start(['probes/#'], (message, done) => taken.push({ ...message, done }));
const kinds = () => news.map(({ kind }) => kind);
const told = (kind: BrokerNews['kind']) => until(`it tells ${kind}`, () => kinds().includes(kind));

describe('news', () => {
  test('of a session tell whether it was resumed', async () => {
    await start();
    await told('granted');
    outside.cut();
    await until('it is connected again', () => kinds().filter((kind) => kind === 'connected').length === 2);
    expect(news.filter(({ kind }) => kind === 'connected' || kind === 'disconnected')).toEqual([
      { kind: 'connected', sessionResumed: false },
      { kind: 'disconnected' },
      { kind: 'connected', sessionResumed: true },
    ]);
    expect(news).toContainEqual({ kind: 'granted', qos: 1 });
  });

  test('of what the broker dropped come out of its own topics, which are no readings', async () => {
    await start();
    await told('granted');
    const sysOf = () => {
      const { clients } = outside.aedes as unknown as {
        readonly clients: Readonly<Record<string, { readonly subscriptions: object }>>;
      };
      return '$SYS/broker/uptime' in (clients.quietkeg?.subscriptions ?? {});
    };
    await until('it listens to them', sysOf);
    await outside.publish('$SYS/broker/publish/messages/dropped', '500', { qos: 0 });
    await outside.publish('$SYS/broker/uptime', '86400 seconds', { qos: 0 });
    await told('uptime');
    expect(news).toContainEqual({ kind: 'dropped', total: 500 });
    expect(news).toContainEqual({ kind: 'uptime', seconds: 86_400 });
    expect(taken).toEqual([]);
  });

  test.each([
    ['$SYS/broker/version', 'mosquitto version 2.0.11', { kind: 'version', text: 'mosquitto version 2.0.11' }],
    ['$SYS/broker/publish/messages/dropped', '', null],
    ['$SYS/broker/uptime', 'long', null],
    ['$SYS/broker/other', '3', null],
  ])('%s with %j is %j', (topic, payload, expected) => {
    expect(sysNews(topic, payload)).toEqual(expected);
  });
});

describe('a broker', () => {
  test('that refuses once is asked again', async () => {
    let refusals = 2;
    outside.aedes.authenticate = (_client, _name, _password, callback) => {
      refusals -= 1;
      // 3: server unavailable.
      if (refusals >= 0) callback(Object.assign(new Error('unavailable'), { returnCode: 3 }), false);
      else callback(null, true);
    };
    await start();
    await told('connected');
    expect(broker.trouble()).toBeNull();
  });

  test('is not read from while 2,000 messages wait for the spool, and all come in the end', async () => {
    await start();
    await told('granted');
    for (let n = 0; n < 2300; n += 1) await outside.publish('probes/one/beer-temperature', String(n), { qos: 0 });
    await until('2,000 have come', () => taken.length >= 2000);
    await settle(50);
    expect(taken).toHaveLength(2000);
    for (const { done } of taken.slice(0, 300)) done(null);
    await until('the others have come', () => taken.length === 2300);
    expect(taken.map(({ payload }) => Number(Buffer.from(payload).toString()))).toEqual(
      Array.from({ length: 2300 }, (_, n) => n),
    );
  });

  test('is asked who may enter only where we have a name to leave out', async () => {
    const asked: (string | null)[] = [];
    outside.aedes.authenticate = (_client, name, _password, callback) => {
      asked.push(name ?? null);
      if (name === undefined) callback(Object.assign(new Error('who?'), { returnCode: 5 }), false);
      else callback(null, true);
    };
    expect(await letsAnybodyIn(outside.url())).toBe(true);
    expect(asked).toEqual([]);
    expect(await letsAnybodyIn(outside.url().replace('//', '//cellar:secret@'))).toBe(false);
    expect(asked).toEqual([null]);
    await outside.goAway();
    expect(await letsAnybodyIn(outside.url().replace('//', '//cellar:secret@'))).toBeNull();
  });
});
