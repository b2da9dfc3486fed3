import { afterEach, describe, expect, test } from 'vitest';
import { jsonPayloadDecoder } from '../../src/adapters/payload/json-payload-decoder.ts';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';
import type { ProbeReading } from '../../src/app/decode.ts';
import { Ingest } from '../../src/app/ingest.ts';
import { Listening } from '../../src/app/listening.ts';
import { Writer } from '../../src/app/writer.ts';
import { type Probe, probeDirectory } from '../../src/domain/probe.ts';
import { aProbe, HOUR, iso, NOON, SECOND } from '../support/builders.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { FlakyStore } from '../support/flaky-store.ts';
import { keptLog } from '../support/kept-log.ts';
import { MemorySpool } from '../support/memory-spool.ts';
import { NO_BROKER } from '../support/no-broker.ts';
import { settle, until } from '../support/until.ts';

let writer: Writer | null = null;
afterEach(async () => {
  await writer?.stop();
  writer = null;
});

async function anIngest({ probes = [] as readonly Probe[], accept = (_: readonly ProbeReading[]) => {} } = {}) {
  const clock = new FakeClock(NOON);
  const spool = new MemorySpool();
  const store = new FlakyStore();
  await store.open();
  const { log, lines } = keptLog();
  const listening = new Listening(new SqliteJournal(openCatalogueFile(':memory:')));
  const directory = () => probeDirectory(probes);
  const made: Writer = new Writer({ spool, store, clock, log, decode: (record) => ingest.readingsOf(record) });
  writer = made;
  const shown: ProbeReading[] = [];
  const ingest: Ingest = new Ingest({
    broker: NO_BROKER,
    spool,
    writer: made,
    decoder: jsonPayloadDecoder,
    directory,
    listening,
    clock,
    log,
    accept: (readings) => {
      accept(readings);
      shown.push(...readings);
    },
  });
  await spool.open((group) => ingest.onGroup(group));
  const receive = (topic: string, payload: string, retained = false) => {
    const answers: (Error | null)[] = [];
    ingest.receive({ topic, payload: Buffer.from(payload), retained, qos: 1 }, (error) => answers.push(error));
    return answers;
  };
  /** Everything that came is stored or refused. */
  const stored = () => until('nothing waits', () => ingest.ledger().waiting === 0);
  return { clock, spool, store, lines, listening, ingest, writer: made, shown, receive, stored };
}

describe('a message', () => {
  test('is kept, stored and shown, and then answered', async () => {
    const { ingest, writer, store, shown, receive, stored } = await anIngest();
    writer.start();
    expect(receive('probes/one/beer-temperature', '4.1')).toEqual([null]);
    await stored();
    expect(store.values()).toEqual([4.1]);
    expect(shown).toMatchObject([{ live: true, reading: { probeId: 'one.beer-temperature', value: 4.1 } }]);
    expect(ingest.ledger()).toEqual({ received: 1, stored: 1, duplicates: 0, rejected: 0, waiting: 0 });
  });

  test('that cannot be kept is answered with the error, and counts as nothing', async () => {
    const { ingest, spool, shown, receive } = await anIngest();
    spool.appendError = new Error('no space left');
    expect(receive('probes/one/beer-temperature', '4.1')).toEqual([spool.appendError]);
    expect(shown).toEqual([]);
    expect(ingest.ledger().received).toBe(0);
  });

  test('of our own is acknowledged and not taken: what we say is no news to us', async () => {
    const { ingest, spool, receive } = await anIngest();
    expect(receive('quietkeg/one/state', '{}')).toEqual([null]);
    expect(receive('quietkeg/service', 'online')).toEqual([null]);
    expect(spool.records).toEqual([]);
    expect(ingest.ledger().received).toBe(0);
  });

  test('of the past comes in with the times it names, and is no sign of life', async () => {
    const { ingest, writer, shown, store, stored } = await anIngest();
    writer.start();
    const at = iso(NOON - 100 * 24 * HOUR);
    await ingest.importPast([{ topic: 'probes/one/beer-temperature', payload: `{"value":4,"time":"${at}"}` }]);
    await stored();
    expect(shown).toMatchObject([{ live: false, reading: { measuredAtMs: NOON - 100 * 24 * HOUR } }]);
    expect(store.values()).toEqual([4]);
  });

  test('of the past that cannot be kept is told', async () => {
    const { ingest, spool } = await anIngest();
    spool.appendError = new Error('no space left');
    await expect(ingest.importPast([{ topic: 'a', payload: '1' }])).rejects.toThrow('no space left');
  });

  test('may hold values of several probes, good ones and bad ones', async () => {
    const topic = 'cellar/board';
    const { ingest, writer, store, listening, receive, stored } = await anIngest({
      probes: [
        aProbe('beer-temperature', { topic, pointer: '/t' }),
        aProbe('headspace-pressure', { topic, pointer: '/p', unit: 'bar' }),
        aProbe('keg-mass', { topic, pointer: '/m' }),
      ],
    });
    writer.start();
    receive(topic, '{"t":4.1,"p":0.7,"m":"?"}');
    await stored();
    expect(store.values()).toEqual([4.1, 70]);
    expect(ingest.ledger()).toEqual({ received: 3, stored: 2, duplicates: 0, rejected: 1, waiting: 0 });
    expect(listening.rejected()).toMatchObject([{ topic, reason: 'under /m there is no number' }]);
    expect(listening.heardTopics()).toEqual([]);
  });

  test('may be a pack with several values of one probe', async () => {
    const { ingest, writer, store, receive, stored } = await anIngest();
    writer.start();
    receive('probes/one/beer-temperature', '[{"bu":"Cel","v":4.1,"t":-60},{"v":4.2},{"v":85},{"u":"%RH","v":40}]');
    await stored();
    expect(store.batches.flat().map(({ value, measuredAtMs }) => [value, measuredAtMs - NOON])).toEqual([
      [4.1, -60_000],
      [4.2, 0],
    ]);
    expect(ingest.ledger()).toMatchObject({ received: 4, stored: 2, rejected: 2 });
  });

  test('that is retained and names no time is a memory: it is not stored, and not refused either', async () => {
    const { ingest, writer, shown, receive } = await anIngest();
    writer.start();
    receive('probes/one/beer-temperature', '4.1', true);
    await settle();
    expect(shown).toEqual([]);
    expect(ingest.ledger()).toEqual({ received: 0, stored: 0, duplicates: 0, rejected: 0, waiting: 0 });
    receive('probes/one/beer-temperature', `{"value":4.1,"time":"${iso(NOON - HOUR)}"}`, true);
    expect(shown).toHaveLength(1);
  });
});

describe('a broken message', () => {
  test.each([
    ['a sum beyond any number', '[{"bv":1e308,"v":1e308}]'],
    ['a value beyond any conversion', '{"value":1e308,"unit":"[degF]"}'],
    ['a time beyond any calendar', '{"value":4,"time":1e300}'],
    ['an empty payload', ''],
    ['text', 'warm'],
  ])('with %s stops none of those behind it', async (_what, payload) => {
    const { ingest, writer, store, receive, stored } = await anIngest();
    writer.start();
    receive('probes/one/beer-temperature', payload);
    receive('probes/one/beer-temperature', '4.1');
    await stored();
    expect(store.values().at(-1)).toBe(4.1);
    const { received, stored: kept, duplicates, rejected } = ingest.ledger();
    expect(received).toBe(kept + duplicates + rejected);
  });
});

describe('the ledger', () => {
  test('balances whatever comes, with a store that fails now and then', async () => {
    const { clock, ingest, writer, store, receive, stored } = await anIngest();
    writer.start();
    const payloads = ['4.1', '4.1', '85', 'x', '{"value":1,"unit":"K"}', '{"value":5}', '{"value":5}', '', '-3'];
    for (let n = 0; n < 200; n += 1) {
      store.failure = n % 40 < 10 ? new Error('away') : null;
      receive(n % 7 === 0 ? 'probes/one/nothing' : 'probes/one/beer-temperature', payloads[n % payloads.length] ?? '');
      if (n % 3 === 0) clock.advance(SECOND);
      if (n % 5 === 0) await settle(2);
      const { received, stored: kept, duplicates, rejected, waiting } = ingest.ledger();
      expect(waiting).toBeGreaterThanOrEqual(0);
      expect(received).toBe(kept + duplicates + rejected + waiting);
    }
    store.failure = null;
    clock.advance(30 * SECOND);
    await stored();
    const ledger = ingest.ledger();
    expect(ledger.received).toBe(200);
    expect(ledger.stored).toBe((await store.latest('one.beer-temperature', 999)).length);
    expect(ledger.duplicates).toBeGreaterThan(0);
    expect(ledger.rejected).toBeGreaterThan(0);
  });

  test('counts what an earlier life left in the spool', async () => {
    const { ingest, spool, store, writer, shown, stored } = await anIngest();
    for (let n = 0; n < 2500; n += 1) {
      spool.records.push({
        receivedAtMs: NOON - HOUR + n,
        topic: 'probes/one/beer-temperature',
        payload: Buffer.from('4'),
        policy: 'live',
        retained: false,
      });
    }
    await spool.saveCheckpoint({ segment: 1, offset: 500 });
    await ingest.recover();
    expect(shown).toHaveLength(2000);
    expect(ingest.ledger()).toMatchObject({ received: 2000, waiting: 2000 });
    writer.start();
    await stored();
    expect(store.values()).toHaveLength(2000);
  });
});

describe('a mistake of ours', () => {
  test('in the live view keeps no reading from being stored', async () => {
    const accept = () => {
      throw new TypeError('our mistake');
    };
    const { writer, store, lines, receive, stored } = await anIngest({ accept });
    writer.start();
    expect(receive('probes/one/beer-temperature', '4.1')).toEqual([null]);
    await stored();
    expect(store.values()).toEqual([4.1]);
    expect(lines[0]).toMatch(/^error new readings are kept but cannot be shown: TypeError: our mistake/);
  });
});
