/** Aim: one less than each limit goes, one more does not, and what was there before goes on. */
import { describe, expect, test } from 'vitest';
import { jsonPayloadDecoder } from '../../src/adapters/payload/json-payload-decoder.ts';
import { decodeRecord } from '../../src/app/decode.ts';
import { PAYLOAD_BYTES_KEPT_MAX } from '../../src/app/ingest.ts';
import { LIMITS } from '../../src/app/limits.ts';
import { SeriesLimit } from '../../src/app/series-limit.ts';
import { ProbeSetting } from '../../src/contract/index.ts';
import { aKeg, anEvent, aProbe, aSupply, iso, NOON } from '../support/builders.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { anHttpWorld } from '../support/http-world.ts';
import { IngestWorld } from '../support/ingest-world.ts';
import { World } from '../support/world.ts';

describe('of what people set up', () => {
  test('places and gas supplies are kept up to their number', async () => {
    const { ask, server, world } = await anHttpWorld();
    world.services.register.change('kegs', (catalogue) => {
      // One of each is there from the start.
      for (let n = 2; n < LIMITS.places; n += 1) catalogue.savePlace({ placeId: `p${n}`, name: `No. ${n}` });
      for (let n = 2; n < LIMITS.supplies; n += 1) catalogue.saveSupply(aSupply({ supplyId: `s${n}` }));
    });
    for (const path of ['/places', '/supplies']) {
      const put = async (id: string) => (await ask('PUT', `${path}/${id}`, { name: 'Cellar' })).statusCode;
      expect([await put('last'), await put('one-more'), await put('last')]).toEqual([200, 409, 200]);
    }
    await server.close();
  });

  test('kegs are kept up to their number, and changed beyond it', async () => {
    const world = await World.make();
    const { kegChanges, register } = world.services;
    register.change('kegs', (catalogue) => {
      for (let n = 1; n < LIMITS.kegs; n += 1) catalogue.saveKeg(aKeg({ kegId: `k${n}` }));
    });
    expect(kegChanges.putKeg('last', {})).toMatchObject({ ok: true });
    expect(kegChanges.putKeg('one-more', {})).toMatchObject({ ok: false, code: 'limit-reached' });
    expect(kegChanges.putKeg('k7', { name: 'Seventh' })).toMatchObject({ ok: true });
    kegChanges.deleteKeg('k7', false);
    expect(kegChanges.putKeg('one-more', {})).toMatchObject({ ok: true });
  });

  test('probes and entries too', async () => {
    const world = await World.make();
    world.fill();
    const { kegChanges, probeChanges, register } = world.services;
    const probe = (n: number) => aProbe('beer-temperature', { probeId: `probe-${n}`, topic: `board/${n}` });
    register.change('probes', (catalogue) => {
      for (let n = 1; n < LIMITS.probes; n += 1) catalogue.saveProbe(probe(n));
    });
    const setting = (n: number) =>
      ProbeSetting.parse({ topic: `other/${n}`, quantity: 'beer-temperature', of: 'one', place: 'wall' });
    expect(probeChanges.put('other-1', setting(1))).toMatchObject({ ok: true });
    expect(probeChanges.put('other-2', setting(2))).toMatchObject({ ok: false, code: 'limit-reached' });
    const there = register.eventsOf(aKeg()).length;
    register.change('kegs', (catalogue) => {
      for (let n = there + 1; n < LIMITS.entriesOfKeg; n += 1)
        catalogue.saveEvent(anEvent(NOON - n, { kind: 'line-cleaned' }));
    });
    const note = { kind: 'note', at: iso(NOON), text: 'x' } as const;
    expect(kegChanges.addEvent('one', note)).toMatchObject({ ok: true });
    expect(kegChanges.addEvent('one', note)).toMatchObject({ ok: false, code: 'limit-reached' });
  });
});

describe('of series', () => {
  const decoded = (kegId: string, world: World) => {
    const topic = `probes/${kegId}/beer-temperature`;
    const record = { topic, payload: Buffer.from('3.3'), receivedAtMs: NOON, retained: false, policy: 'live' } as const;
    return decodeRecord(record, world.services.register.directory(), jsonPayloadDecoder);
  };

  test('the last one goes, one more is refused with a reason, known ones go on', async () => {
    const world = await World.make();
    const heard = ['k0.beer-temperature'];
    const limit = new SeriesLimit({ most: 3, heard: () => heard, isSetUp: (id) => id === 'set-up.beer-temperature' });
    const admitted = (kegId: string) => limit.admit(decoded(kegId, world));
    for (const kegId of ['k0', 'k1', 'k2', 'k1']) expect(admitted(kegId).readings, kegId).toHaveLength(1);
    expect(admitted('k3')).toMatchObject({ readings: [], rejections: [/3 probes are heard already/] });
    expect(admitted('k0').readings).toHaveLength(1);
    expect(admitted('set-up').readings).toHaveLength(1);
    // Room that somebody made is found in time.
    for (let n = 0; n < 1000; n += 1) admitted(`other${n}`);
    expect(admitted('k3').readings).toHaveLength(1);
  });
});

describe('of what one request or message may bring', () => {
  test.each([['points of a curve', (n: number) => `/kegs/one/curve?points=${n}`, 2000]])(
    '%s',
    async (_what, path, most) => {
      const { ask, server, world } = await anHttpWorld();
      world.fill();
      expect((await ask('GET', path(most))).statusCode).toBe(200);
      expect((await ask('GET', path(most + 1))).statusCode).toBe(400);
      await server.close();
    },
  );

  test('a curve spans ten years, and no more', async () => {
    const { ask, server, world } = await anHttpWorld();
    world.fill();
    const days = (count: number) => `/kegs/one/curve?from=${iso(NOON - count * 86_400_000)}&to=${iso(NOON)}`;
    expect((await ask('GET', days(3653))).statusCode).toBe(200);
    expect((await ask('GET', days(3654))).statusCode).toBe(400);
    // A reading cannot be so old; the year nought would not even be written as it is read.
    expect((await ask('GET', '/kegs/one/curve?to=1970-01-02T00:00:00Z')).statusCode).toBe(200);
    for (const to of ['1970-01-01T23:59:59Z', '0000-01-01T00:00:00Z'])
      expect((await ask('GET', `/kegs/one/curve?to=${to}`)).statusCode).toBe(400);
    await server.close();
  });

  test('a body has 256 KiB, an id of an address 500 characters', async () => {
    const { server } = await anHttpWorld();
    const put = (bytes: number) => {
      const payload = `{"name":"Fridge"}`.padEnd(bytes, ' ');
      return server.inject({
        method: 'PUT',
        url: '/api/v1/places/garage',
        headers: { 'content-type': 'application/json' },
        payload,
      });
    };
    expect((await put(256 * 1024)).statusCode).toBe(200);
    expect((await put(256 * 1024 + 1)).statusCode).toBe(413);
    for (const length of [500, 501]) {
      const { statusCode } = await server.inject(`/api/v1/kegs/${'x'.repeat(length)}/state`);
      expect([400, 404]).toContain(statusCode);
    }
    await server.close();
  });

  test('a payload that is too long is answered and told, not kept', async () => {
    const world = await IngestWorld.start(new FakeClock(NOON));
    const long = world.receive('probes/one/beer-temperature', Buffer.alloc(PAYLOAD_BYTES_KEPT_MAX + 1, 0x31));
    expect(long).toEqual([null]);
    const [told] = world.listening.rejected();
    expect(told?.reason).toBe('the payload has 262145 bytes; more than 262144 are not taken');
    expect(world.ingest.ledger()).toMatchObject({ received: 1, rejected: 1 });
    // One byte less is spooled, and refused for what it says.
    world.receive('probes/one/beer-temperature', Buffer.alloc(PAYLOAD_BYTES_KEPT_MAX, 0x31));
    await world.quiet();
    expect(world.listening.rejected()[0]?.reason).toMatch(/at most 16384 are read/);
  });
});
