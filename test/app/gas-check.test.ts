/**
 * Aim: the report of a keg's gas checks tells what goes on, what is worth doing, and what earlier ones found.
 * Method: a simulated keg, heard and entered as any other, through HTTP.
 */
import { beforeAll, describe, expect, test } from 'vitest';
import { GasCheckReport } from '../../src/contract/index.ts';
import { HOUR, iso, MINUTE, NOON } from '../support/builders.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';
import { LIGHT_MODEL } from '../support/light-model.ts';
import { aSimulatedWorld, type SimulatedWorld, situationNamed } from '../support/simulated-world.ts';
import { World } from '../support/world.ts';

async function anEmptyWorld() {
  const world = await World.make({ estimating: true, model: LIGHT_MODEL });
  return { world, http: await anHttpWorld(world) };
}

async function report(http: HttpWorld, kegId = 'one'): Promise<GasCheckReport> {
  const answer = await http.ask('GET', `/kegs/${kegId}/gas-check`);
  expect(answer.json()).not.toHaveProperty('detail');
  return GasCheckReport.parse(answer.json());
}

describe('a keg that takes up gas, checked for four hours', () => {
  const situation = {
    ...situationNamed('check-4h-day-2'),
    write: (script: Parameters<NonNullable<ReturnType<typeof situationNamed>['write']>>[0]) => script.check(24, 4),
  };
  let simulated: SimulatedWorld;
  let http: HttpWorld;
  beforeAll(async () => {
    simulated = await aSimulatedWorld(situation, 3);
    http = await anHttpWorld(simulated.world);
  });

  test('before it, tells what checks would leave of the band and advises one', async () => {
    await simulated.goTo(23.5);
    const told = await report(http);
    expect(told).toMatchObject({ kegId: 'one', running: null, results: [] });
    expect(told.at).toBe(iso(simulated.startMs + 23.5 * HOUR));
    const { low = 0, high = 0 } = simulated.world.estimates.output('one')?.dissolved ?? {};
    expect(told.plusMinusNow).toBeCloseTo((high - low) / 2, 9);
    expect(told.expected.map(({ hours, shaken }) => `${hours}${shaken ? ' shaken' : ''}`)).toEqual([
      '0.5 shaken',
      '1',
      '4',
      '12',
    ]);
    expect(told.advice).toMatch(/^Close the gas for \d+ h: what the beer holds is then known to about ±/);
    // The same step has the same answer, without working it out again.
    expect((await report(http)).expected).toEqual(told.expected);
  });

  test('while it goes on, tells its course, and to go on', async () => {
    await simulated.goTo(26);
    const { running, expected, advice } = await report(http);
    expect(running).toMatchObject({
      startedAt: iso(simulated.startMs + 24 * HOUR),
      shaken: false,
      hours: 2,
      tightness: null,
    });
    expect(running?.says).toMatch(/^The pressure fell by/);
    expect(running?.kpaGaugeBefore).toBeGreaterThan((running?.kpaGaugeNow ?? 0) + 2);
    expect(running?.leak).toBe('none');
    const { course } = running ?? expect.fail();
    expect(course.time[0]).toBe(running?.startedAt);
    expect(course.time).toHaveLength(24);
    expect(course.headspaceKpaGauge.every((value) => value !== null)).toBe(true);
    // What is believed is kept every quarter of an hour.
    expect(course.low.filter((value) => value !== null)).toHaveLength(8);
    expect(expected.map(({ hours }) => hours)).toEqual([0.5, 4, 12]);
    expect(advice).toMatch(/^Leave the gas closed until it has been (4|12) h/);
    expect(running?.enough).toBe(false);
  });

  test('after it, tells what it found, and of a corrected entry what that makes of it', async () => {
    await simulated.goTo(29);
    const { running, results } = await report(http);
    expect(running).toBeNull();
    expect(results).toHaveLength(1);
    const [result] = results;
    expect(result?.endedAt).toBe(iso(simulated.startMs + 28 * HOUR));
    const width = (band: { low: number; high: number } | null | undefined) => (band?.high ?? 0) - (band?.low ?? 0);
    expect(width(result?.bandAfter)).toBeLessThan(0.85 * width(result?.bandBefore));
    expect(result?.kpaGaugeAfter).toBeLessThan(result?.kpaGaugeBefore ?? 0);
    expect(result?.says).toMatch(/^Closed for 4 h: from .+ to .+volumes to .+volumes\.$/);

    const { register, kegChanges } = simulated.world.services;
    const keg = register.keg('one') ?? expect.fail();
    const started = register.eventsOf(keg).find(({ body }) => body.kind === 'gas-check-started') ?? expect.fail();
    const at = iso(simulated.startMs + 25 * HOUR);
    kegChanges.correctEvent('one', started.eventId, { kind: 'gas-check-started', at, shaken: true });
    expect((await report(http)).results[0]).toMatchObject({ startedAt: at, shaken: true });
    kegChanges.withdrawEvent('one', started.eventId);
    expect((await report(http)).results).toEqual([]);
  });
});

describe('where something is missing', () => {
  test('an unknown keg is refused', async () => {
    const { http } = await anEmptyWorld();
    const answer = await http.ask('GET', '/kegs/nine/gas-check');
    expect(answer.statusCode).toBe(404);
    expect(answer.json().detail).toContain('nine');
  });

  test('a keg without a probe is told to have one, and a keg without beer what to enter', async () => {
    const { world, http } = await anEmptyWorld();
    world.services.kegChanges.putKeg('one', {});
    expect((await report(http)).advice).toContain('needs a pressure probe');
    await world.headspace(70);
    expect(await report(http)).toMatchObject({ batchId: null, plusMinusNow: null, expected: [], results: [] });
    expect((await report(http)).advice).toContain('enter the filling');
    await world.minutes(3, 4, 70);
    world.clock.advance(24 * HOUR);
    expect((await report(http)).advice).toContain('needs a pressure probe');
  });

  test('beer that is not estimated yet, or on mixed gas, is told so', async () => {
    const { world, http } = await anEmptyWorld();
    world.fill();
    await world.headspace(70);
    expect((await report(http)).advice).toContain('still being worked out');
    await http.ask('PUT', '/supplies/gas', { co2Ratio: null });
    expect((await report(http)).advice).toContain('share of CO2');
  });
});

describe('of an empty keg', () => {
  test('a check of an empty keg has a course of its pressure and no band', async () => {
    const { world, http } = await anEmptyWorld();
    world.services.kegChanges.putKeg('one', {});
    await world.minutes(30, 4, 100);
    world.services.kegChanges.addEvent('one', { kind: 'gas-check-started', at: iso(world.clock.nowMs()) });
    await world.minutes(60, 4, 99);
    const { running, batchId } = await report(http);
    expect(batchId).toBeNull();
    expect(running).toMatchObject({
      kpaGaugeBefore: 100,
      kpaGaugeNow: 99,
      bandBefore: null,
      bandNow: null,
      leak: null,
    });
    expect(running?.course.low.every((value) => value === null)).toBe(true);
    expect(running).toMatchObject({ enough: false, tightness: { finding: 'too-early' } });
    expect(running?.says).toMatch(/^Whether it is tight can be told in about .+ h\.$/);
    await world.minutes(360, 4, 99);
    expect((await report(http)).running).toMatchObject({ enough: true, tightness: { finding: 'tight' } });
    world.services.kegChanges.addEvent('one', { kind: 'gas-check-ended', at: iso(world.clock.nowMs()) });
    const [result] = (await report(http)).results;
    expect(result?.says).toMatch(/^Closed for 7 h\. It is tight: /);
    expect(result).toMatchObject({ kpaGaugeBefore: 100, kpaGaugeAfter: 99, bandAfter: null, leak: null });
    expect(running?.hours).toBeCloseTo(1, 6);
  });

  test('the air of the fridge tells how warm the gas is, where nothing else does', async () => {
    const { world, http } = await anEmptyWorld();
    world.services.kegChanges.putKeg('one', {});
    world.services.kegChanges.addEvent('one', { kind: 'gas-check-started', at: iso(NOON) });
    // The keg warms by three degrees; its gas with it, and the pressure as that of a gas does (Gay-Lussac).
    for (let minute = 0; minute < 400; minute += 5) {
      const celsius = 4 + (3 * minute) / 400;
      await world.hear('probes/place/fridge/air-temperature', celsius);
      await world.headspace((201.325 * (273.15 + celsius)) / 277.15 - 101.325);
      world.clock.advance(5 * MINUTE);
    }
    expect((await report(http)).running?.tightness).toMatchObject({ finding: 'tight' });
  });

  test('a keg filled just now is judged by the estimate', async () => {
    const { world, http } = await anEmptyWorld();
    const { kegChanges } = world.services;
    kegChanges.putKeg('one', {});
    const at = () => iso(world.clock.nowMs());
    kegChanges.startBatch('one', { name: 'New', at: at(), beerState: 'flat', probe: 'thermowell' });
    kegChanges.addEvent('one', { kind: 'gas-opened', at: at() });
    await world.minutes(30, 4, 100);
    kegChanges.addEvent('one', { kind: 'gas-check-started', at: at() });
    await world.minutes(30, 4, 98);
    await world.estimated();
    const { running } = await report(http);
    expect(running?.tightness).toMatchObject({ kpaPerHour: null });
    expect(running?.says).toMatch(/(too early to tell|pressure).*(tight|leak)/i);
  });
});

describe('what is read', () => {
  test('a check of weeks has a course of a bearable length', async () => {
    const { world, http } = await anEmptyWorld();
    world.services.kegChanges.putKeg('one', {});
    await world.headspace(100);
    world.services.kegChanges.addEvent('one', { kind: 'gas-check-started', at: iso(NOON) });
    world.clock.advance(40 * 24 * HOUR);
    await world.headspace(90);
    world.clock.advance(MINUTE);
    const { running } = await report(http);
    expect(running?.course.time.length).toBeLessThanOrEqual(200);
    expect(running?.course.headspaceKpaGauge.filter((value) => value !== null)).toHaveLength(2);
    world.clock.advance(9000 * 24 * HOUR);
    expect((await report(http)).running?.course.time.length).toBeLessThan(1500);
  });

  test('a sensor of absolute pressure is read by the barometer', async () => {
    const { world, http } = await anEmptyWorld();
    world.services.kegChanges.putKeg('one', {});
    const probe = {
      topic: 'cellar/a',
      unit: 'kPa',
      quantity: 'headspace-pressure',
      of: 'one',
      reference: 'absolute',
    };
    expect((await http.ask('PUT', '/probes/cellar-a', probe)).statusCode).toBeLessThan(300);
    world.services.kegChanges.addEvent('one', { kind: 'gas-check-started', at: iso(NOON) });
    for (let minute = 0; minute < 20; minute += 1) {
      await world.hear('probes/site/ambient-pressure', 95);
      await world.hear('cellar/a', 175);
      world.clock.advance(MINUTE);
    }
    const { running } = await report(http);
    expect(running?.course.headspaceKpaGauge.slice(0, 4)).toEqual([80, 80, 80, 80]);
  });

  test('a store that does not answer is a problem of its own; our own mistakes are not called so', async () => {
    const { world, http } = await anEmptyWorld();
    world.services.kegChanges.putKeg('one', {});
    await world.headspace(70);
    world.services.kegChanges.addEvent('one', { kind: 'gas-check-started', at: iso(NOON) });
    world.clock.advance(HOUR);
    world.store.buckets = () => Promise.reject(new Error('no route to the store'));
    const away = await http.ask('GET', '/kegs/one/gas-check');
    expect(away.statusCode).toBe(503);
    expect(away.json().detail).toContain('no route to the store');
    world.estimates.fork = () => {
      throw new Error('a mistake');
    };
    expect((await http.ask('GET', '/kegs/one/gas-check')).statusCode).toBe(500);
    expect(http.mistakes).toEqual(['GET /api/v1/kegs/:kegId/gas-check: a mistake']);
  });
});
