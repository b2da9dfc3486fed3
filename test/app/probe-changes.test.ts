import { describe, expect, test } from 'vitest';
import type { Outcome } from '../../src/app/outcome.ts';
import { ProbeSetting } from '../../src/contract/index.ts';
import { HOUR, iso, MINUTE, NOON } from '../support/builders.ts';
import { World } from '../support/world.ts';

const refusal = (outcome: Outcome<unknown>) => (outcome.ok ? 'granted' : `${outcome.code}: ${outcome.detail}`);
const setting = (change: object = {}): ProbeSetting =>
  ProbeSetting.parse({ topic: 'cellar/board', pointer: '/t', quantity: 'beer-temperature', of: 'one', ...change });

describe('mapping a probe', () => {
  test('makes sense of a topic that nobody understood', async () => {
    const world = await World.make();
    const { probeChanges, listening } = world.services;
    expect(await world.hear('cellar/board', '{"t":4.1,"p":0.7}')).toEqual([]);
    expect(listening.heardTopics()).toMatchObject([
      { topic: 'cellar/board', sample: '{"t":4.1,"p":0.7}', messages: 1 },
    ]);
    probeChanges.put('board-t', setting());
    probeChanges.put('board-p', setting({ pointer: '/p', quantity: 'headspace-pressure', unit: 'bar' }));
    expect(await world.hear('cellar/board', '{"t":4.1,"p":0.7}')).toEqual([]);
    world.clock.advance(50);
    expect(world.state()).toMatchObject({ beerTemperatureC: 4.1, headspaceKpaGauge: 70 });
  });

  test('changes what its last value means at once', async () => {
    const world = await World.make();
    world.fill();
    await world.beer(4);
    world.clock.advance(MINUTE);
    const calibration = [
      { from: iso(NOON + HOUR), offset: 9, gain: 1 },
      { from: iso(NOON - HOUR), offset: -0.5, gain: 1 },
    ];
    const put = world.services.probeChanges.put(
      'one.beer-temperature',
      setting({ topic: 'probes/one/beer-temperature', pointer: null, calibration }),
    );
    expect(put).toMatchObject({
      ok: true,
      value: {
        probeId: 'one.beer-temperature',
        of: 'one',
        lastValue: 3.5,
        lastUnit: 'Cel',
        lastHeardAt: iso(NOON),
        state: 'fresh',
        ageMs: MINUTE,
        usualIntervalMs: null,
        calibration: [{ from: iso(NOON - HOUR) }, { from: iso(NOON + HOUR) }],
      },
    });
    expect(world.state().beerTemperatureC).toBe(3.5);
  });

  test.each<[object, RegExp]>([
    [{ of: 'place/fridge' }, /^body-invalid: of: beer-temperature is measured of a keg; place\/fridge is none/],
    [{ quantity: 'air-temperature' }, /^body-invalid: of: air-temperature is measured of a place; one is none/],
    [{ quantity: 'ambient-pressure', of: 'place/site' }, /^body-invalid: of/],
    [{ unit: 'kPa' }, /^body-invalid: unit: beer-temperature is a temperature; kPa is no unit of it/],
  ])('%j is refused', async (change, reason) => {
    const { probeChanges } = (await World.make()).services;
    expect(refusal(probeChanges.put('board', setting(change)))).toMatch(reason);
  });

  test('cannot give an id of a default topic another meaning', async () => {
    const { probeChanges } = (await World.make()).services;
    expect(refusal(probeChanges.put('two.beer-temperature', setting()))).toBe(
      'probe-conflict: The id two.beer-temperature stands for beer-temperature of two.',
    );
  });

  test('cannot read a value that another reads', async () => {
    const { probeChanges } = (await World.make()).services;
    expect(probeChanges.put('board', setting()).ok).toBe(true);
    expect(probeChanges.put('board', setting({ unit: 'K' })).ok).toBe(true);
    expect(refusal(probeChanges.put('other', setting()))).toBe(
      'probe-conflict: The probe board reads this value of cellar/board already.',
    );
    expect(probeChanges.put('other', setting({ pointer: '/u' })).ok).toBe(true);
  });

  test('that was never heard is listed as such', async () => {
    const { probeChanges } = (await World.make()).services;
    expect(probeChanges.put('board', setting())).toMatchObject({
      value: { lastHeardAt: null, lastValue: null, state: 'stale', ageMs: null, usualIntervalMs: null },
    });
  });
});

describe('forgetting a probe', () => {
  test('takes a default one back to its defaults; readings stay', async () => {
    const world = await World.make();
    await world.beer(4);
    const { probeChanges } = world.services;
    probeChanges.put(
      'one.beer-temperature',
      setting({ topic: 'probes/one/beer-temperature', pointer: null, unit: 'K' }),
    );
    expect(probeChanges.delete('one.beer-temperature').ok).toBe(true);
    expect(probeChanges.list()).toEqual([]);
    expect(await world.store.latest('one.beer-temperature', 9)).toHaveLength(1);
    await world.beer(5);
    expect(probeChanges.list()).toMatchObject([{ probeId: 'one.beer-temperature', unit: null, lastValue: 5 }]);
  });

  test('is refused for one that is unknown', async () => {
    const { probeChanges } = (await World.make()).services;
    expect(refusal(probeChanges.delete('nothing'))).toBe('probe-unknown: There is no probe nothing.');
  });
});

test('probes are listed by what they belong to', async () => {
  const world = await World.make();
  await world.hear('probes/site/ambient-pressure', 98);
  await world.headspace(70);
  await world.beer(4);
  await world.hear('probes/place/fridge/air-temperature', 3);
  expect(world.services.probeChanges.list().map(({ of, quantity }) => `${of} ${quantity}`)).toEqual([
    'one beer-temperature',
    'one headspace-pressure',
    'place/fridge air-temperature',
    'site ambient-pressure',
  ]);
});
