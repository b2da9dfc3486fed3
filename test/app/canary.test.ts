/** Aim: a heartbeat is sent only while the whole way works, and says in the log where it does not. */
import { describe, expect, test } from 'vitest';
import { jsonPayloadDecoder } from '../../src/adapters/payload/json-payload-decoder.ts';
import { CANARY_TOPIC, Canary, type CanaryOptions, withCanary } from '../../src/app/canary.ts';
import { decodeRecord } from '../../src/app/decode.ts';
import { Heartbeat } from '../../src/app/heartbeat.ts';
import { probeDirectory } from '../../src/domain/probe.ts';
import type { StoredReading } from '../../src/domain/reading.ts';
import type { Delivery } from '../../src/ports/channel.ts';
import { MINUTE, NOON, SECOND } from '../support/builders.ts';
import { aChannel, aPerson, DeliveryWorld } from '../support/delivery-world.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { keptLog } from '../support/kept-log.ts';
import { settle } from '../support/until.ts';

/** Everything between publishing and the store, in memory. */
function aWay(change: Partial<CanaryOptions> = {}) {
  const clock = new FakeClock(NOON);
  const kept: StoredReading[] = [];
  const shown: string[] = [];
  const directory = withCanary(probeDirectory([]));
  const hear = (topic: string, payload: string) => {
    const record = {
      topic,
      payload: Buffer.from(payload),
      receivedAtMs: clock.nowMs(),
      retained: false,
      policy: 'live',
    } as const;
    const { readings, rejections } = decodeRecord(record, directory, jsonPayloadDecoder);
    expect(rejections).toEqual([]);
    kept.push(...readings.map(({ reading }) => ({ ...reading, ordinal: 1 })));
    shown.push(...canary.takeOwn(readings).map(({ probe }) => probe.probeId));
  };
  const canary: Canary = new Canary({
    clock,
    publish: async (topic, payload) => hear(topic, payload),
    stored: async () => true,
    latest: async (probeId) => kept.filter((one) => one.probeId === probeId).slice(-1),
    deliveryTrouble: () => null,
    ...change,
  });
  return { clock, canary, hear, shown };
}

describe('the canary', () => {
  test('passes where a value comes from the broker into the store, again and again', async () => {
    const { canary, shown } = aWay();
    for (let round = 0; round < 3; round += 1) expect(await canary.round()).toBeNull();
    expect(shown).toEqual([]);
  });

  test('takes nothing away from anybody else', async () => {
    const { canary, hear, shown } = aWay();
    hear('probes/one/beer-temperature', '4');
    hear(CANARY_TOPIC, '999');
    expect(shown).toEqual(['one.beer-temperature']);
    expect(await canary.round()).toBeNull();
  });

  test.each<[string, Partial<CanaryOptions>, RegExp]>([
    [
      'the broker',
      { publish: () => Promise.reject(new Error('refused')) },
      /^the broker did not take a message: refused$/,
    ],
    ['the way in', { publish: async () => {} }, /^a published message did not come in within 30 s$/],
    ['the store', { stored: async () => false }, /^a message did not reach the store$/],
    ['what is in the store', { latest: async () => [] }, /^a message did not reach the store$/],
    ['a store that hangs', { stored: () => new Promise(() => {}) }, /^a message did not reach the store within 30 s$/],
    ['delivery', { deliveryTrouble: () => 'no channel reaches anybody' }, /^no channel reaches anybody$/],
  ])('tells that it ends at %s', async (_where, change, why) => {
    const { canary, clock } = aWay(change);
    const round = canary.round();
    await settle(3);
    clock.advance(31 * SECOND);
    expect(await round).toMatch(why);
  });

  test('does not take an old value for the one it sent', async () => {
    const old: StoredReading = {
      probeId: 'canary',
      value: 401,
      measuredAtMs: NOON - 10 * MINUTE,
      receivedAtMs: NOON - 10 * MINUTE,
      timeFrom: 'receipt',
      ordinal: 1,
    };
    expect(await aWay({ latest: async () => [old] }).canary.round()).toBe('a message did not reach the store');
  });
});

describe('delivery', () => {
  test('is in trouble when it stands still, cannot write, or reaches nobody', async () => {
    const world = new DeliveryWorld().set([aChannel('mail')], [aPerson()]);
    expect(world.outbox.trouble()).toBe('delivery stands still');
    world.outbox.tick();
    expect(world.outbox.trouble()).toBeNull();
    world.answers.set('mail', () => ({ kind: 'refused', answer: 'no' }));
    world.episode('a');
    await world.go(5 * SECOND);
    expect(world.outbox.trouble()).toBe('no channel reaches anybody');
    world.clock.advance(MINUTE);
    expect(world.outbox.trouble()).toBe('delivery stands still');
    world.outbox.tick();
    world.database.close();
    expect(world.outbox.trouble()).toMatch(/cannot write its journal/);
  });
});

describe('a heartbeat', () => {
  test('is sent soon and then every few minutes, while all works', async () => {
    const clock = new FakeClock(NOON);
    const { log, lines } = keptLog();
    const sent: number[] = [];
    let trouble: string | null = null;
    let delivery: Delivery = { kind: 'taken', answer: '200' };
    const heartbeat = new Heartbeat({
      clock,
      log,
      url: 'http://watcher.example/keg',
      everyMs: 5 * MINUTE,
      round: async () => trouble,
      outgoing: {
        send: async ({ url, method }) => {
          expect([method, url]).toEqual(['GET', 'http://watcher.example/keg']);
          sent.push(clock.nowMs() - NOON);
          return delivery;
        },
      },
    });
    const go = async (minutes: number) => {
      for (let step = 0; step < 12 * minutes; step += 1) {
        clock.advance(5 * SECOND);
        await settle(2);
      }
    };
    expect(heartbeat.report()).toMatchObject({ state: 'untried', everyMin: 5, lastSentAt: null });
    heartbeat.start();
    clock.advance(5 * SECOND);
    await settle(2);
    await go(10);
    expect(sent).toEqual([5 * SECOND, 5 * MINUTE, 10 * MINUTE]);
    const lastSentAt = new Date(NOON + 10 * MINUTE).toISOString();
    expect(heartbeat.report()).toEqual({ state: 'works', everyMin: 5, lastSentAt, trouble: null });
    trouble = 'a message did not reach the store';
    await go(15);
    expect(sent).toHaveLength(3);
    expect(lines).toEqual(['warn no heartbeat is sent: a message did not reach the store']);
    expect(heartbeat.report()).toMatchObject({
      state: 'failing',
      lastSentAt,
      trouble: 'no heartbeat is sent: a message did not reach the store',
    });
    trouble = null;
    await go(5);
    expect(lines.at(-1)).toBe('info heartbeats are sent again');
    delivery = { kind: 'failed', answer: '503', isCertain: true, retryAfterMs: null };
    await go(10);
    expect(lines.slice(2)).toEqual(['warn the heartbeat is not taken: 503']);
    heartbeat.stop();
    await go(10);
    expect(sent).toHaveLength(6);
  });
});
