import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { EVENT_COLUMNS } from '../../src/app/export-lines.ts';
import { EventEntry } from '../../src/contract/index.ts';
import { HOUR, iso, MINUTE, SECOND } from '../support/builders.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';

let http: HttpWorld;
let batchId = '';
beforeEach(async () => {
  http = await anHttpWorld();
  batchId = http.world.fill();
  await http.world.minutes(3, 4, 80);
});
afterEach(() => http.server.close());

const exported = (query = '') => http.ask('GET', `/batches/${batchId}/export${query}`);

describe('a batch goes out', () => {
  test('as JSON lines, entries first', async () => {
    const answer = await exported();
    expect(answer.statusCode).toBe(200);
    expect(answer.headers['content-type']).toBe('application/x-ndjson');
    expect(answer.headers['content-disposition']).toBe(`attachment; filename="one-${batchId}.ndjson"`);
    const lines = answer.body
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(lines.map(({ kind }) => kind)).toEqual([
      'keg-filled',
      ...[1, 2, 3].flatMap(() => ['beer-temperature', 'headspace-pressure']),
    ]);
    expect(lines[0]).toMatchObject({ eventId: batchId, keg: 'one' });
  });

  test('as rows', async () => {
    const answer = await exported('?format=csv');
    expect(answer.headers['content-type']).toMatch(/^text\/csv/);
    const rows = answer.body.split('\r\n');
    expect(rows[0]).toBe('t,keg,kind,value,unit,probe');
    expect(rows[1]).toMatch(/Z,one,beer-temperature,4,Cel,$/);
    expect(rows).toHaveLength(8);
  });

  test('only its own span, and only known forms', async () => {
    const { world } = http;
    const emptied = { kind: 'keg-emptied', at: iso(world.clock.nowMs()) } as const;
    expect(world.services.kegChanges.addEvent('one', emptied).ok).toBe(true);
    await world.minutes(5, 20, 0);
    expect((await exported()).body.trim().split('\n')).toHaveLength(8);
    expect((await exported('?format=xml')).statusCode).toBe(400);
    expect((await http.ask('GET', '/batches/none/export')).json()).toMatchObject({ status: 404 });
  });

  test('not while the store is away', async () => {
    await http.world.store.close();
    expect((await exported()).json()).toMatchObject({ status: 503, type: 'urn:quietkeg:problem:store-unavailable' });
  });
});

describe('a part of the past comes in', () => {
  const t = iso(Date.UTC(2026, 4, 31, 13));
  const reading = { t, keg: 'one', kind: 'beer-temperature', value: 39.2, unit: '[degF]' };
  const send = (body: object) => http.ask('POST', '/import', body);

  test('into store, entries and the estimate, and twice is once', async () => {
    const events = [{ keg: 'one', entry: { kind: 'gas-opened', at: t } }];
    const first = await send({ events, readings: [reading] });
    expect(first.json()).toEqual({
      readings: { stored: 1, duplicates: 0, refused: [] },
      events: { added: 1, known: 0, refused: [] },
      fills: { added: 0, known: 0, refused: [] },
    });
    expect((await send({ events, readings: [reading] })).json()).toMatchObject({
      readings: { stored: 0, duplicates: 1 },
      events: { added: 0, known: 1 },
    });
    const stored = await http.world.store.range('one.beer-temperature', Date.parse(t), Date.parse(t) + 1, 9);
    expect(stored).toMatchObject([{ receivedAtMs: http.world.clock.nowMs(), timeFrom: 'device' }]);
    expect(http.world.state()).toMatchObject({ gas: 'on', beerTemperatureC: 4 });
  });

  test('of a keg that nobody knows: its entries put it into the catalogue', async () => {
    const filled = { kind: 'keg-filled', at: t, totalLitres: 19, beerLitres: 18 };
    await send({
      events: [{ keg: 'nine', eventId: 'entry-9', entry: filled }],
      readings: [{ ...reading, keg: 'nine' }],
    });
    expect(http.world.services.register.batch('entry-9')).toMatchObject({ kegId: 'nine' });
    http.world.go(2 * SECOND);
    expect(http.world.state('nine')).toMatchObject({ batchId: 'entry-9', inputs: [{ quantity: 'beer-temperature' }] });
  });

  test('and what of it cannot be is told by its place', async () => {
    const now = http.world.clock.nowMs();
    const answer = await send({
      events: [
        { keg: 'one', entry: { kind: 'gas-opened', at: iso(now + HOUR) } },
        { keg: 'one', entry: { kind: 'fridge-set', at: t, place: 'attic', celsius: 3 } },
        { keg: 'one', entry: { kind: 'cylinder-changed', at: t, supply: 'other' } },
        { keg: 'one', entry: { kind: 'keg-filled', at: t, totalLitres: 10, beerLitres: 11 } },
        { keg: 'one', entry: { kind: 'target-set', at: t, volumes: 2, tolerance: 0.2, celsius: -4 } },
      ],
      readings: [
        { ...reading, t: iso(now + HOUR) },
        reading,
        { ...reading, probe: 'one.headspace-pressure' },
        { ...reading, value: 1e6 },
      ],
    });
    const { events, readings } = answer.json();
    expect(events.refused.map(({ index }: { index: number }) => index)).toEqual([0, 1, 2, 3, 4]);
    expect(events.refused.map(({ reason }: { reason: string }) => reason)).toEqual([
      expect.stringContaining('lies in the future'),
      expect.stringContaining('no place attic here; add it'),
      expect.stringContaining('no gas supply other here; add it'),
      expect.stringContaining('do not go into a keg of 10 L'),
      expect.stringContaining('may freeze'),
    ]);
    expect(readings.stored).toBe(1);
    expect(readings.refused).toMatchObject([
      { index: 0, reason: expect.stringContaining('lies in the future') },
      { index: 2, reason: expect.stringContaining('measures headspace-pressure here, not beer-temperature') },
      { index: 3, reason: expect.stringContaining('outside what beer-temperature can be') },
    ]);
  });

  test('but not while the store is away, nor beyond its size, nor with a probe that takes the topic of another', async () => {
    const { kegExport, probeChanges } = http.world.services;
    const past = await kegExport.past('one', { fromMs: 0, toMs: http.world.clock.nowMs() + MINUTE });
    const mapped = {
      ...({ topic: 'garage/x', pointer: null, unit: null, quantity: 'beer-temperature', of: 'one' } as const),
      ...{ reference: null, place: null, timeUnit: null, availability: null, calibration: [] },
    };
    probeChanges.put('here', mapped);
    const about = { ...past?.about, probes: [{ probeId: 'there', ...mapped }] };
    expect((await send({ about })).json()).toMatchObject({
      status: 409,
      detail: expect.stringContaining('The probe there of the file reads garage/x, which here reads here'),
    });
    expect((await send({ readings: Array.from({ length: 1001 }, () => reading) })).statusCode).toBe(400);
    await http.world.store.close();
    expect((await send({ readings: [reading] })).json()).toMatchObject({ status: 503 });
  });
});

test('a table of entries has a column for every field there is', () => {
  const fields = EventEntry.options.flatMap(({ shape }) => Object.keys(shape)).filter((field) => field !== 'at');
  expect(fields.length).toBeGreaterThan(80);
  expect([...new Set(fields)].filter((field) => !EVENT_COLUMNS.includes(field))).toEqual([]);
});
