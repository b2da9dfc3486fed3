/** Aim: a fill is recorded once however often its requests come, and its keg knows of it. */

import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { SqliteFillBook } from '../../src/adapters/sqlite/sqlite-fill-book.ts';
import type { Fill, KeptEvent } from '../../src/contract/index.ts';
import { iso, MINUTE, SECOND } from '../support/builders.ts';
import { aBottle, aFill, uuid } from '../support/fills.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';

let http: HttpWorld;
beforeEach(async () => {
  http = await anHttpWorld();
  http.world.fill();
});
afterEach(async () => {
  await http.server.close();
  expect(http.mistakes).toEqual([]);
});

const now = () => http.world.clock.nowMs();
const start = (body: object = {}) => http.ask('POST', '/fills', { kegId: 'one', fillId: 'f1', ...body });
const fill = async (): Promise<Fill> => (await http.ask('GET', '/fills/f1')).json();
const put = (number: number, body: object = {}) =>
  http.ask('PUT', `/fills/f1/bottles/${uuid(number)}`, { sizeL: 0.5, ...body });
const events = async (): Promise<KeptEvent[]> => (await http.ask('GET', '/kegs/one/events')).json().events;
const kinds = async () => (await events()).map(({ kind }) => kind).filter((kind) => kind !== 'keg-filled');

describe('starting a fill', () => {
  test('makes the event of the keg, once however often it is asked for', async () => {
    const first = await start({ planned: [{ count: 12, sizeL: 0.5 }] });
    expect(first.statusCode).toBe(201);
    http.world.clock.advance(MINUTE);
    expect((await start()).json()).toEqual(first.json());
    expect(first.json()).toMatchObject({
      fillId: 'f1',
      batchName: 'Harvest Amber',
      endedAt: null,
      planned: [{ count: 12, sizeL: 0.5 }],
      restHours: 24,
      beerAtStartL: expect.closeTo(18.43, 6),
      bottles: [],
    });
    expect(await kinds()).toEqual(['fill-started']);
  });

  test('is refused for a keg that is unknown, empty, or being filled from', async () => {
    expect((await start({ kegId: 'nobody' })).json().type).toBe('urn:quietkeg:problem:keg-unknown');
    http.world.services.kegChanges.putKeg('two', {});
    expect((await start({ kegId: 'two' })).json().type).toBe('urn:quietkeg:problem:event-misplaced');
    await start();
    expect((await start({ fillId: 'f2' })).json()).toMatchObject({
      type: 'urn:quietkeg:problem:fill-open',
      status: 409,
      detail: 'Bottles are being filled from one already: fill f1.',
    });
    expect((await start({ kegId: 'two' })).statusCode).toBe(409);
  });

  test('with an id of the service’s own, and a time that a fast clock put ahead', async () => {
    const answer = await http.ask('POST', '/fills', { kegId: 'one', startedAt: iso(now() + 3 * MINUTE) });
    expect(answer.json()).toMatchObject({ startedAt: iso(now()), fillId: expect.stringMatching(/^id-/) });
  });
});

describe('bottles', () => {
  beforeEach(() => start());

  test('are numbered as they come, and one id is one bottle', async () => {
    await put(1);
    await put(2, { note: 'foamy', remark: 'first pour' });
    const again = await put(1);
    expect(again.json()).toMatchObject({ number: 1, note: 'clean', sizeL: 0.5 });
    // Letters of an id may come in either case.
    await http.ask('PUT', `/fills/f1/bottles/${uuid(0xabc).toUpperCase()}`, { sizeL: 0.33 });
    await http.ask('PUT', `/fills/f1/bottles/${uuid(0xabc)}`, { sizeL: 0.33 });
    const { bottles, bottleCount, notes, drawnL } = await fill();
    expect(bottles.map(({ number, note }) => [number, note])).toEqual([
      [1, 'clean'],
      [2, 'foamy'],
      [3, 'clean'],
    ]);
    expect({ bottleCount, notes, drawnL }).toEqual({
      bottleCount: 3,
      notes: { clean: 2, foamy: 1, gushed: 0, spilled: 0, 'under-filled': 0 },
      drawnL: 1.33,
    });
  });

  test('keep what a later request leaves out', async () => {
    await put(1, { note: 'gushed', filledAt: iso(now() - 5 * SECOND) });
    const tasting = { at: iso(now()), text: 'Cardboard', opinion: 'bad' };
    await http.ask('PUT', `/fills/f1/bottles/${uuid(1)}`, {
      destination: 'competition',
      destinationText: 'Spring cup',
    });
    const last = await http.ask('PUT', `/fills/f1/bottles/${uuid(1)}`, { tasting });
    expect(last.json()).toMatchObject({
      note: 'gushed',
      sizeL: 0.5,
      filledAt: iso(now() - 5 * SECOND),
      destination: 'competition',
      destinationText: 'Spring cup',
      tasting,
    });
    const bare = await http.ask('PUT', `/fills/f1/bottles/${uuid(1)}`, {
      tasting: null,
      remark: null,
      destinationText: null,
    });
    expect(bare.json()).toMatchObject({ tasting: null, destinationText: null, destination: 'competition' });
  });

  test('that were taken back stay away, and their number is free again', async () => {
    await put(1);
    await put(2);
    const gone = () => http.ask('DELETE', `/fills/f1/bottles/${uuid(2)}`);
    expect([(await gone()).statusCode, (await gone()).statusCode]).toEqual([204, 204]);
    // A repetition that was on its way when the bottle was taken back.
    expect((await put(2)).json().type).toBe('urn:quietkeg:problem:bottle-removed');
    expect((await put(3)).json().number).toBe(2);
    expect((await fill()).bottleCount).toBe(2);
  });

  test('are refused without a size, an id that is one, or a fill', async () => {
    const bare = await http.ask('PUT', `/fills/f1/bottles/${uuid(1)}`, {});
    expect(bare.json()).toMatchObject({ status: 400, detail: 'sizeL: a new bottle needs its size in litres.' });
    expect((await http.ask('PUT', '/fills/f1/bottles/seven', { sizeL: 0.5 })).json().detail).toContain('use a UUID');
    expect((await http.ask('DELETE', `/fills/f1/bottles/${uuid(9)}`)).statusCode).toBe(404);
    for (const [method, path, body] of [
      ['PUT', `/fills/f9/bottles/${uuid(1)}`, { sizeL: 0.5 }],
      ['DELETE', `/fills/f9/bottles/${uuid(1)}`, undefined],
      ['GET', '/fills/f9', undefined],
      ['PATCH', '/fills/f9', {}],
    ] as const) {
      expect((await http.ask(method, path, body)).json().type).toBe('urn:quietkeg:problem:fill-unknown');
    }
  });
});

describe('what the keg was like when bottles were filled', () => {
  beforeEach(() => start());

  test('is kept with them, of late ones from what was stored', async () => {
    await http.world.minutes(20, 1.4, 70);
    const atMs = now();
    const live = await put(1);
    expect(live.json().conditions).toMatchObject({ at: iso(atMs), beerTemperatureC: 1.4, headspaceKpaGauge: 70 });
    await http.world.minutes(60, 6, 40);
    const late = await put(2, { filledAt: iso(atMs - 5 * MINUTE) });
    expect(late.json().conditions).toMatchObject({
      at: iso(atMs - 5 * MINUTE),
      beerTemperatureC: 1.4,
      headspaceKpaGauge: 70,
      verdict: 'unknown',
    });
    // Of the time before anything was heard nothing is known.
    const old = await put(3, { filledAt: iso(atMs - 600 * MINUTE) });
    expect(old.json().conditions).toMatchObject({ beerTemperatureC: null, headspaceKpaGauge: null, dissolved: null });
    // Stale values are no conditions.
    http.world.go(40 * MINUTE);
    http.world.clock.advance(600 * MINUTE);
    expect((await put(4)).json().conditions).toMatchObject({ beerTemperatureC: null, headspaceKpaGauge: null });
  });

  test('counts for clean fills, though nobody has looked at the fill since a store that was away is back', async () => {
    await http.world.minutes(20, 1.4, 70);
    const { store } = http.world;
    const buckets = store.buckets.bind(store);
    store.buckets = () => Promise.reject(new Error('away'));
    expect((await put(1, { filledAt: iso(now() - 10 * MINUTE) })).json().conditions).toBeNull();
    await http.ask('PATCH', '/fills/f1', { endedAt: iso(now()) });
    store.buckets = buckets;
    expect((await http.ask('GET', '/clean-fills')).json()).toMatchObject({
      unheardFills: 0,
      all: { fills: 1, bottles: 1 },
    });
  });

  test('is looked up when a store that was away is back', async () => {
    await http.world.minutes(20, 1.4, 70);
    const filledAt = iso(now() - 10 * MINUTE);
    const { store } = http.world;
    const buckets = store.buckets.bind(store);
    store.buckets = () => Promise.reject(new Error('away'));
    expect((await put(1, { filledAt })).json()).toMatchObject({ number: 1, conditions: null });
    await put(2, { filledAt });
    expect(http.world.log.lines.filter((line) => line.includes('away'))).toHaveLength(1);
    store.buckets = buckets;
    expect((await fill()).bottles.map(({ conditions }) => conditions?.beerTemperatureC)).toEqual([1.4, 1.4]);
  });
});

describe('ending a fill', () => {
  beforeEach(() => start());
  const end = (body: object) => http.ask('PATCH', '/fills/f1', body);

  test('tells the keg how much beer is gone, and late bottles correct it', async () => {
    await put(1);
    http.world.clock.advance(MINUTE);
    const endedAt = iso(now());
    await end({ endedAt });
    await end({ endedAt });
    expect(await kinds()).toEqual(['fill-started', 'beer-drawn', 'fill-ended']);
    await put(2, { sizeL: 0.33 });
    await end({ lostL: 0.1 });
    const drawn = (await events()).filter(({ kind }) => kind === 'beer-drawn');
    expect(drawn).toMatchObject([{ at: endedAt, litres: 0.93 }]);
    expect(http.world.services.register.factsOf(aKegOf(), now()).beer?.drawnLitres).toBeCloseTo(0.93, 9);
    await http.ask('DELETE', `/fills/f1/bottles/${uuid(2)}`);
    await end({ lostL: 0 });
    expect((await events()).find(({ kind }) => kind === 'beer-drawn')).toMatchObject({ litres: 0.5 });
  });

  test('can be taken back', async () => {
    await put(1);
    await end({ endedAt: iso(now()), remark: 'Line was warm', tasteAfterDays: null });
    const open = (await end({ endedAt: null })).json();
    expect(open).toMatchObject({ endedAt: null, remark: 'Line was warm', tasteAfterDays: null });
    expect(await kinds()).toEqual(['fill-started']);
    expect((await end({ endedAt: iso(now() - 90 * MINUTE) })).statusCode).toBe(400);
  });

  test('outlives a restart', async () => {
    await put(1);
    await end({ endedAt: iso(now()) });
    const before = await fill();
    const again = await anHttpWorld(await http.world.restart());
    expect((await again.ask('GET', '/fills/f1')).json()).toEqual(before);
    expect((await again.ask('GET', '/kegs/one/events')).json().events.at(-1).kind).toBe('fill-ended');
    await again.server.close();
  });

  test('leaves it in the list, by keg, batch and whether it goes on', async () => {
    const list = async (query: string) =>
      (await http.ask('GET', `/fills?${query}`)).json().fills.map((one: Fill) => one.fillId);
    expect(await list('open=true')).toEqual(['f1']);
    await end({ endedAt: iso(now()) });
    const { batchId } = await fill();
    expect(await list(`batchId=${batchId}`)).toEqual(['f1']);
    expect([await list('open=true'), await list('open=false'), await list('kegId=two')]).toEqual([[], ['f1'], []]);
    expect((await http.ask('GET', '/fills')).json().fills[0]).not.toHaveProperty('bottles');
  });
});

describe('after a fill', () => {
  beforeEach(() => start());
  const afterwards = async (query = '') => (await http.ask('GET', `/fills/f1/afterwards${query}`)).json();

  test('tells how to keep the bottles and where to set the keg', async () => {
    await http.world.minutes(20, 2, 70);
    await put(1);
    expect((await afterwards()).drinkBy).toBeNull();
    const endedAtMs = now();
    await http.ask('PATCH', '/fills/f1', { endedAt: iso(endedAtMs) });
    const told = await afterwards();
    expect(told).toMatchObject({
      drinkBy: iso(endedAtMs + 28 * 24 * 60 * MINUTE),
      // Nothing is estimated here, so nothing is claimed of what the bottle holds.
      inBottle: null,
      pressures: [],
      conditioning: null,
      keg: { remainingL: expect.closeTo(17.93, 6), servingKpaGauge: expect.any(Number) },
    });
    expect(told.storing.every(({ source }: { source: unknown }) => source === null || typeof source === 'string')).toBe(
      true,
    );
    expect((await http.ask('GET', '/fills/f9/afterwards')).statusCode).toBe(404);
    expect((await http.ask('GET', '/fills/f1/afterwards?wishedVolumes=9')).statusCode).toBe(400);
  });

  test('tells what is in the bottles where the bottles know it, and what sugar would add', async () => {
    const book = new SqliteFillBook(http.world.database);
    const dissolved = { volumes: 2.2, low: 2.1, high: 2.3 };
    const conditions = {
      atMs: now(),
      beerTemperatureC: 2,
      headspaceKpaGauge: 70,
      dissolved,
      verdict: 'ready' as const,
    };
    book.saveBottle('f1', aBottle(1, { conditions }));
    const told = await afterwards('?wishedVolumes=2.6&sugar=dextrose');
    expect(told.inBottle).toMatchObject({ volumes: expect.closeTo(2.08, 2), high: 2.3 });
    expect(told.pressures.map(({ celsius }: { celsius: number }) => celsius)).toEqual([4, 20, 30, 40]);
    // 0.52 volumes x 1.977 g/L / 0.489 g of CO2 a gram of dextrose.
    expect(told.conditioning).toMatchObject({
      wishedVolumes: 2.6,
      sugar: 'dextrose',
      gramsPerL: expect.closeTo(2.1, 1),
    });
  });

  test('says nothing of a keg that holds another beer by now', async () => {
    http.world.clock.advance(MINUTE);
    await http.ask('POST', '/kegs/one/events', { kind: 'keg-emptied', at: iso(now()) });
    expect((await afterwards()).keg).toEqual({
      remainingL: null,
      servingKpaGauge: null,
      advice: 'The beer of this fill is no longer in the keg.',
    });
  });

  test('never sets a keg above what is stamped on it', async () => {
    await http.world.minutes(20, 2, 70);
    await http.ask('PUT', '/kegs/one', { workingKpaGaugeMax: 50 });
    expect((await afterwards()).keg).toMatchObject({
      servingKpaGauge: null,
      advice: expect.stringContaining('stamped'),
    });
  });
});

describe('tastings', () => {
  beforeEach(() => start());

  test('are asked for of three bottles after three weeks, until each was tasted', async () => {
    for (const number of [1, 2, 3, 4, 5]) await put(number);
    const tastings = async () => (await http.ask('GET', '/tastings')).json().tastings;
    expect(await tastings()).toEqual([]);
    await http.ask('PATCH', '/fills/f1', { endedAt: iso(now()) });
    const asked = await tastings();
    expect(asked.map(({ number, due }: { number: number; due: boolean }) => [number, due])).toEqual([
      [1, false],
      [3, false],
      [5, false],
    ]);
    expect(asked[0]).toMatchObject({
      fillId: 'f1',
      batchName: 'Harvest Amber',
      dueAt: iso(now() + 21 * 24 * 60 * MINUTE),
    });
    http.world.clock.advance(21 * 24 * 60 * MINUTE);
    await http.ask('PUT', `/fills/f1/bottles/${uuid(3)}`, {
      destination: 'drunk',
      tasting: { text: 'Soft', opinion: 'so-so' },
    });
    expect((await tastings()).map(({ number, due }: { number: number; due: boolean }) => [number, due])).toEqual([
      [1, true],
      [5, true],
    ]);
  });
});

describe('what gave clean fills', () => {
  const line = { boreMm: 5, lengthM: 3, liftM: 0.3 };
  const learnt = async () => (await http.ask('GET', '/clean-fills')).json();
  /** A fill of 20 bottles that is over, at a temperature and a pressure. */
  const filled = (
    number: number,
    beerC: number,
    kpaGauge: number | null,
    foamy: number,
    over: typeof line | null = null,
  ) => {
    const book = new SqliteFillBook(http.world.database);
    const fillId = `past-${number}`;
    const conditions = {
      atMs: now(),
      beerTemperatureC: beerC,
      headspaceKpaGauge: kpaGauge,
      dissolved: null,
      verdict: null,
    };
    book.saveFill(aFill({ fillId, startedAtMs: now() - MINUTE, endedAtMs: now(), line: over }));
    for (let bottle = 1; bottle <= 20; bottle += 1)
      book.saveBottle(fillId, aBottle(bottle, { conditions, note: bottle <= foamy ? 'foamy' : 'clean' }));
  };

  test('says that there are few data, and counts only what can be held against the others', async () => {
    filled(1, 2, 70, 3);
    filled(2, 2, 70, 3, line);
    filled(3, 2, null, 3);
    const told = await learnt();
    expect(told).toMatchObject({ line: null, otherLineFills: 1, unheardFills: 1, fewData: true, factors: [] });
    expect(told.all).toMatchObject({ fills: 1, bottles: 20, foamy: 3 });
    expect(told.suggestion).toEqual([expect.stringMatching(/^Few data: 1 fill with 20 bottles\./)]);
  });

  test('suggests what differed, with how sure it is', async () => {
    for (let fill = 0; fill < 12; fill += 1) filled(fill, 0.5 + fill / 3, 60 + 3 * (fill % 6), Math.round(fill * 1.4));
    const told = await learnt();
    expect(told.fewData).toBe(false);
    const [temperature] = told.factors;
    expect(temperature).toMatchObject({ name: 'temperature', unit: 'Cel', below: { fills: 6 }, above: { fills: 6 } });
    expect(temperature.below.high).toBeLessThan(temperature.above.high);
    expect(told.factors.map(({ name }: { name: string }) => name)).toEqual(['temperature', 'pressure', 'rest']);
    expect(told.suggestion[0]).toMatch(/^Fill at about 0\.\d\d\u00a0bar: nine times in ten/);
    expect(told.suggestion[1]).toBe('Fill colder: warm fills foamed more (very likely: 19 times in 20).');
  });
});

function aKegOf() {
  const keg = http.world.services.register.keg('one');
  if (keg === null) throw new Error('the keg is gone');
  return keg;
}
