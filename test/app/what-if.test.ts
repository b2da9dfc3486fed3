/** Aim: a question about a keg begins with what that keg is believed to hold, or says what to enter. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { WhatIfAnswer } from '../../src/contract/index.ts';
import { HOUR, iso, MINUTE, NOON } from '../support/builders.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';
import { LIGHT_MODEL } from '../support/light-model.ts';
import { World } from '../support/world.ts';

let http: HttpWorld;

beforeAll(async () => {
  http = await anHttpWorld(await World.make({ estimating: true, model: LIGHT_MODEL }));
  const { world } = http;
  const { kegChanges } = world.services;
  world.fill();
  kegChanges.addEvent('one', { kind: 'gas-opened', at: iso(NOON - 24 * HOUR) });
  kegChanges.addEvent('one', { kind: 'target-set', at: iso(NOON), volumes: 2.6, tolerance: 0.2 });
  for (let minute = 0; minute < 4 * 60; minute += 5) {
    world.clock.advance(5 * MINUTE);
    await world.beer(4);
    await world.headspace(70);
  }
  await world.estimated();
  kegChanges.putKeg('empty', {});
  kegChanges.putKeg('mixed', { supplyId: 'gas' });
});
afterAll(() => http.server.close());

const question = { beerTemperatureC: 4, headspaceKpaGauge: 70 };
const ask = (body: object) => http.ask('POST', '/what-if', body);

describe('POST /what-if', () => {
  test('of a keg begins with what it holds and asks after its own window', async () => {
    const answer = await ask({ ...question, kegId: 'one' });
    expect(answer.statusCode).toBe(200);
    const told = WhatIfAnswer.parse(answer.json());
    const output = http.world.estimates.output('one');
    expect(told).toMatchObject({ kegId: 'one', at: iso(NOON + 4 * HOUR) });
    expect(told.target.low).toBeCloseTo(2.4, 9);
    expect(told.target.high).toBeCloseTo(2.8, 9);
    expect(Math.abs(told.start.volumes - (output?.dissolved?.volumes ?? 0))).toBeLessThan(0.05);
    expect(told.curve.hours.at(-1)).toBe(168);
    expect(told.says).toMatch(/^It ends at 2\.\d\d.volumes, outside the window/);
    expect(told.readyIn).toBeNull();
  });

  test('of no keg is of a usual one with flat beer, or with what is said', async () => {
    const flat = WhatIfAnswer.parse((await ask(question)).json());
    expect(flat).toMatchObject({ kegId: null, target: { low: 2, high: 2.5 } });
    expect(flat.start.volumes).toBeLessThan(1.1);
    const begun = WhatIfAnswer.parse((await ask({ ...question, fromVolumes: 2.1, hours: 24 })).json());
    for (const name of ['low', 'volumes', 'high'] as const) expect(begun.start[name]).toBeCloseTo(2.1, 9);
    expect(begun.curve.hours.at(-1)).toBe(24);
    expect(begun.readyIn).toEqual({ hours: 0, lowHours: 0, highHours: 0 });
    const wished = await ask({ ...question, target: { low: 1.5, high: 1.9 } });
    expect(WhatIfAnswer.parse(wished.json()).target).toEqual({ low: 1.5, high: 1.9 });
  });

  test('the same question has the same answer', async () => {
    expect((await ask(question)).json()).toEqual((await ask(question)).json());
  });

  test.each([
    ['an unknown keg', { ...question, kegId: 'nine' }, 404, 'keg-unknown', 'Add it first'],
    ['a keg without beer', { ...question, kegId: 'empty' }, 409, 'estimate-missing', 'Enter when it was filled'],
    ['no window', { ...question, target: { low: 3, high: 2 } }, 400, 'body-invalid', 'target.low'],
    ['two starts', { ...question, kegId: 'one', fromVolumes: 1 }, 400, 'body-invalid', 'fromVolumes'],
    ['no pressure', { beerTemperatureC: 4 }, 400, 'body-invalid', 'headspaceKpaGauge: is missing'],
    ['no end', { ...question, hours: 0 }, 400, 'body-invalid', 'hours'],
  ])('%s is refused with what to do', async (_name, body, status, code, words) => {
    const answer = await ask(body);
    expect(answer.statusCode).toBe(status);
    expect(answer.json()).toMatchObject({ type: `urn:quietkeg:problem:${code}` });
    expect(answer.json().detail).toContain(words);
  });

  test('a keg that is still being worked out, and one on gas of unknown share, are refused', async () => {
    const { world } = http;
    const at = iso(NOON);
    world.services.kegChanges.startBatch('empty', { name: 'New', at, beerState: 'flat', probe: 'wall' });
    const early = await ask({ ...question, kegId: 'empty' });
    expect(early.statusCode).toBe(409);
    expect(early.json().detail).toContain('still being worked out');
    await http.ask('PUT', '/supplies/mix', { name: 'Mix', co2Ratio: null });
    world.services.kegChanges.putKeg('empty', { supplyId: 'mix' });
    const mixed = await ask({ ...question, kegId: 'empty' });
    expect(mixed.statusCode).toBe(409);
    expect(mixed.json().detail).toContain('share of CO2');
  });
});
