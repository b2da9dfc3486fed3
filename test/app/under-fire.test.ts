/**
 * Aim: whatever comes, and in whatever order, good readings are stored once, bad ones are listed, and the books balance.
 * Method: messages through ingest and writer into a store that fails now and then.
 */
import fc from 'fast-check';
import { afterEach, describe, expect, test } from 'vitest';
import { HOUR, iso, NOON, SECOND } from '../support/builders.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { anyPayload, HOSTILE_PAYLOADS } from '../support/hostile-payloads.ts';
import { IngestWorld } from '../support/ingest-world.ts';
import { settle } from '../support/until.ts';

let world: IngestWorld | null = null;
afterEach(async () => {
  await world?.stop();
  world = null;
});

const GOOD_TOPIC = 'probes/good/beer-temperature';
const good = (n: number) => JSON.stringify({ value: (n % 2000) / 100, time: iso(NOON - HOUR + n) });
const balance = (from: IngestWorld) => {
  const { received, stored, duplicates, rejected, waiting } = from.ingest.ledger();
  expect(Math.min(stored, duplicates, rejected, waiting)).toBeGreaterThanOrEqual(0);
  expect(stored + duplicates + rejected + waiting).toBe(received);
};
const storedTimes = async (from: IngestWorld) =>
  (await from.store.range('good.beer-temperature', 0, 1e15, 1e6)).map(({ measuredAtMs }) => measuredAtMs - NOON + HOUR);

describe('hostile payloads', () => {
  test.each(HOSTILE_PAYLOADS.map((payload) => [payload.toString().slice(0, 30), payload] as const))(
    '%j is no reading, is listed, and holds nobody up',
    async (_, payload) => {
      world = await IngestWorld.start(new FakeClock(NOON));
      expect(world.receive('probes/one/beer-temperature', payload)).toEqual([null]);
      world.receive(GOOD_TOPIC, good(1));
      await world.quiet();
      expect(world.ingest.ledger()).toEqual({ received: 2, stored: 1, duplicates: 0, rejected: 1, waiting: 0 });
      const [listed] = world.listening.rejected();
      expect(listed?.reason).not.toBe('');
      expect((listed?.sample ?? '').length).toBeLessThan(200);
    },
  );

  test('of any kind among good ones: all good ones are stored, and the list of the others is bounded', async () => {
    const from = await IngestWorld.start(new FakeClock(NOON));
    world = from;
    let sent = 0;
    const seed = Date.now() % 1e6;
    for (const payload of fc.sample(anyPayload, { numRuns: 3000, seed })) {
      from.receive('probes/one/beer-temperature', payload);
      if (sent % 3 === 0) from.receive(GOOD_TOPIC, good(sent));
      sent += 1;
      if (sent % 500 === 0) {
        balance(from);
        from.listening.flush();
        await settle(1);
      }
    }
    await from.quiet();
    balance(from);
    expect({ seed, times: await storedTimes(from) }).toEqual({
      seed,
      times: Array.from({ length: 1000 }, (_, n) => n * 3),
    });
    expect(from.listening.rejected().length).toBeLessThanOrEqual(200);
    expect(from.listening.rejectedCount()).toBe(from.ingest.ledger().rejected);
    expect(from.ingest.ledger().rejected).toBeGreaterThan(1000);
  });
});

describe('the ledger', () => {
  test('balances at every moment: failing store, long backlog, kill and restart, doubles and rubbish', {
    timeout: 30_000,
  }, async () => {
    const step = fc.oneof(
      fc.record({ kind: fc.constant('send' as const), count: fc.integer({ min: 1, max: 9000 }) }),
      fc.record({ kind: fc.constant('rubbish' as const), count: fc.integer({ min: 1, max: 50 }) }),
      fc.record({ kind: fc.constant('store' as const), works: fc.boolean() }),
      fc.record({ kind: fc.constant('wait' as const), ms: fc.integer({ min: 1, max: 40_000 }) }),
      fc.record({ kind: fc.constant('kill' as const) }),
    );
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 3, maxLength: 12 }), async (steps) => {
        const clock = new FakeClock(NOON);
        let from = await IngestWorld.start(clock);
        let n = 0;
        for (const one of steps) {
          if (one.kind === 'send') {
            // A third of them twice: a QoS 1 publisher that was not answered in time.
            for (let k = 0; k < one.count; k += 1) from.receive(GOOD_TOPIC, good(n + k - (k % 3 === 2 ? 1 : 0)));
            n += one.count;
          } else if (one.kind === 'rubbish') {
            for (let k = 0; k < one.count; k += 1) from.receive(GOOD_TOPIC, '85');
          } else if (one.kind === 'store') from.store.failure = one.works ? null : new Error('away');
          else if (one.kind === 'wait') clock.advance(one.ms);
          else {
            await from.stop();
            from = await from.restart();
          }
          balance(from);
          await settle(2);
          balance(from);
        }
        from.store.failure = null;
        clock.advance(40 * SECOND);
        await from.quiet();
        balance(from);
        const kept = await storedTimes(from);
        expect(new Set(kept).size).toBe(kept.length);
        expect(kept.length).toBeLessThanOrEqual(n);
        await from.stop();
      }),
      { numRuns: 6 },
    );
  });

  test('balances when a mapping changes while messages wait', async () => {
    const from = await IngestWorld.start(new FakeClock(NOON));
    world = from;
    from.store.failure = new Error('away');
    // More than memory takes, so that they are read from the spool again.
    for (let n = 0; n < 30_000; n += 1) from.receive(GOOD_TOPIC, good(n));
    balance(from);
    from.remap(GOOD_TOPIC, 2);
    from.store.failure = null;
    from.clock.advance(40 * SECOND);
    await from.quiet();
    balance(from);
    expect(from.ingest.ledger().stored).toBeGreaterThan(30_000);
  });
});

describe('everything twice and shuffled', () => {
  test('gives the same content as once and in order', async () => {
    const content = async (payloads: readonly string[]) => {
      const from = await IngestWorld.start(new FakeClock(NOON));
      for (const [index, payload] of payloads.entries()) {
        from.receive(GOOD_TOPIC, payload);
        if (index % 300 === 0) await settle(1);
      }
      await from.quiet();
      await from.stop();
      const readings = await from.store.range('good.beer-temperature', 0, 1e15, 1e6);
      return readings.map(({ measuredAtMs, value, timeFrom }) => [measuredAtMs, value, timeFrom]);
    };
    const payloads = Array.from({ length: 3000 }, (_, n) => good(n * 7));
    const order = fc.sample(fc.shuffledSubarray([...payloads, ...payloads], { minLength: 6000 }), 1)[0] ?? [];
    expect(order).not.toEqual([...payloads, ...payloads]);
    expect(await content(order)).toEqual(await content(payloads));
  });
});
