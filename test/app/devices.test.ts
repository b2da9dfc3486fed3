import { describe, expect, test } from 'vitest';
import type { HeardTopic, Probe } from '../../src/contract/index.ts';
import { iso, MINUTE, NOON, SECOND } from '../support/builders.ts';
import { anHttpWorld } from '../support/http-world.ts';
import type { World } from '../support/world.ts';

const STATUS = 'garage/shelf/status';
const OF_BEER = {
  topic: 'probes/one/beer-temperature',
  pointer: null,
  unit: null,
  quantity: 'beer-temperature',
  of: 'one',
  reference: null,
  place: null,
  timeUnit: null,
  calibration: [],
} as const;
const PATH = '/probes/one.beer-temperature';

/** A filled keg whose thermometer's device says on a topic whether it is there. */
async function aWorld(availability: object | null = { topic: STATUS }) {
  const http = await anHttpWorld();
  http.world.fill();
  await http.world.minutes(5, 4, 70);
  const map = (to: object | null) => http.ask('PUT', PATH, { ...OF_BEER, availability: to });
  expect((await map(availability)).statusCode).toBe(200);
  const probes = async () => (await http.ask('GET', '/probes')).json() as { probes: Probe[]; heard: HeardTopic[] };
  const beer = async () => (await probes()).probes.find(({ probeId }) => probeId === 'one.beer-temperature');
  return { ...http, map, probes, beer };
}

function seen(world: World) {
  world.tick();
  const { inputs, verdict, equilibriumVolumes } = world.state();
  const input = inputs.find(({ quantity }) => quantity === 'beer-temperature');
  const fresh = verdict.checks.find(({ name }) => name === 'probes-fresh');
  return { state: input?.state, amiss: input?.amiss, says: fresh?.advice, equilibriumVolumes };
}

describe('a device that says that it is offline', () => {
  test('is believed at once, and no longer when it says that it is online', async () => {
    const { world, beer } = await aWorld();
    expect(seen(world)).toMatchObject({ state: 'fresh', amiss: null, says: '' });
    expect(await beer()).toMatchObject({ device: null, amiss: null, state: 'fresh' });
    await world.hear(STATUS, 'offline');
    const since = iso(world.clock.nowMs());
    world.clock.advance(MINUTE);
    expect(seen(world)).toEqual({
      state: 'stale',
      amiss: { kind: 'offline', since },
      says: 'Look at the beer thermometer: it has said for 1 min that it is offline. Has it power and network?',
      equilibriumVolumes: null,
    });
    // Said again it is no news.
    await world.hear(STATUS, 'offline');
    expect(await beer()).toMatchObject({ device: 'offline', amiss: { kind: 'offline', since }, state: 'stale' });
    await world.hear(STATUS, 'online');
    expect(seen(world)).toMatchObject({ state: 'fresh', amiss: null, equilibriumVolumes: expect.any(Number) });
    expect(await beer()).toMatchObject({ device: 'online', amiss: null });
  });

  test('by a retained message is believed too, but nobody knows since when', async () => {
    const { world } = await aWorld();
    await world.hear(STATUS, 'offline', { retained: true });
    expect(seen(world)).toMatchObject({
      state: 'stale',
      amiss: { kind: 'offline', since: null },
      says: 'Look at the beer thermometer: it says that it is offline. Has it power and network?',
    });
  });

  test('in words of its own, and no other', async () => {
    const { world, beer } = await aWorld({ topic: STATUS, online: 'here', offline: 'gone' });
    await world.hear(STATUS, 'offline');
    expect(await beer()).toMatchObject({ device: null, state: 'fresh' });
    await world.hear(STATUS, 'gone');
    expect(await beer()).toMatchObject({ device: 'offline', state: 'stale' });
  });

  test('is remembered over a restart', async () => {
    const { world } = await aWorld();
    await world.hear(STATUS, 'offline');
    world.services.listening.flush();
    const after = await world.restart(10 * SECOND);
    expect(seen(after)).toMatchObject({ state: 'stale', amiss: { kind: 'offline', since: iso(NOON + 5 * MINUTE) } });
    await after.hear(STATUS, 'true');
    expect(seen(after)).toMatchObject({ amiss: null });
  });

  test('said so before anybody asked', async () => {
    const { world, map } = await aWorld(null);
    await world.hear(STATUS, 'offline');
    expect(seen(world)).toMatchObject({ state: 'fresh' });
    await map({ topic: STATUS });
    expect(seen(world)).toMatchObject({ state: 'stale', amiss: { kind: 'offline' } });
    await map(null);
    expect(seen(world)).toMatchObject({ state: 'fresh', amiss: null });
  });
});

describe('a topic of availability', () => {
  test('is no reading: neither refused nor offered to be placed', async () => {
    const { world, probes } = await aWorld({ topic: 'probes/shelf/status' });
    expect(await world.hear('probes/shelf/status', 'online')).toEqual([]);
    expect((await probes()).heard).toEqual([]);
    expect(world.services.listening.rejectedCount()).toBe(0);
  });

  test('may carry a value as well', async () => {
    const { world, beer } = await aWorld({ topic: OF_BEER.topic, online: '4.5', offline: '-1' });
    await world.hear(OF_BEER.topic, '4.5');
    expect(await beer()).toMatchObject({ device: 'online', lastValue: 4.5 });
    await world.hear(OF_BEER.topic, '-1');
    expect(await beer()).toMatchObject({ device: 'offline', lastValue: -1 });
  });

  test('is one topic, and its words are not empty', async () => {
    const { map } = await aWorld();
    for (const wrong of [{ topic: 'garage/#' }, { topic: STATUS, online: ' ' }, { topic: STATUS, offline: '' }]) {
      expect((await map(wrong)).statusCode).toBe(400);
    }
  });
});
