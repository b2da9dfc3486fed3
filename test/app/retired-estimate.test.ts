import { expect, test } from 'vitest';
import { estimateBasis } from '../../src/app/estimate-basis.ts';
import { estimateModel } from '../../src/app/estimate-model.ts';
import { rebuildTrack } from '../../src/app/estimate-rebuild.ts';
import { DAY, HOUR, iso, NOON } from '../support/builders.ts';
import { World } from '../support/world.ts';

/** Aim: a batch can still be estimated when only minutes are left of its readings, and says what it said before. */

const BEGAN = NOON - 2 * DAY;

test('what is computed from minutes is what was computed from readings', { timeout: 60_000 }, async () => {
  const world = await World.make();
  const { register, kegChanges, probes } = world.services;
  kegChanges.putKeg('one', {});
  const fill = {
    name: 'Harvest Amber',
    at: iso(BEGAN),
    beerState: 'flat',
    probe: 'thermowell',
    beerCelsius: 18,
  } as const;
  expect(kegChanges.startBatch('one', fill).ok).toBe(true);
  kegChanges.addEvent('one', { kind: 'headspace-purged', at: iso(BEGAN), times: 5 });
  kegChanges.addEvent('one', { kind: 'gas-opened', at: iso(BEGAN) });
  for (let atMs = BEGAN; atMs < BEGAN + DAY; atMs += 20_000) {
    const hours = (atMs - BEGAN) / HOUR;
    const time = iso(atMs);
    const wobble = Math.sin(atMs / 70_000) / 20;
    const say = (quantity: string, value: number) =>
      world.hear(`probes/one/${quantity}`, JSON.stringify({ value, time }), { policy: 'import' });
    await say('beer-temperature', 4 + 14 * Math.exp(-hours / 6) + wobble);
    await say('headspace-pressure', 80 + wobble * 10);
  }
  const keg = register.keg('one');
  const batch = register.batchAt('one', NOON);
  if (keg === null || batch === null) throw new Error('the keg is filled');
  const computed = async () => {
    const track = await rebuildTrack({
      basis: estimateBasis({ register, probes, bases: { learnt: () => null } }, keg, batch),
      base: null,
      untilMs: BEGAN + DAY,
      store: world.store,
      model: estimateModel,
      tell: () => undefined,
      breathe: () => Promise.resolve(),
      isVain: () => false,
    });
    return track?.output(BEGAN + DAY) ?? null;
  };
  const before = await computed();
  const retired = await Promise.all(
    ['beer-temperature', 'headspace-pressure'].map((quantity) => {
      return world.store.retire(`one.${quantity}`, BEGAN - HOUR, BEGAN + 20 * HOUR);
    }),
  );
  expect(retired).toEqual([3600, 3600]);
  const after = await computed();
  expect(before?.dissolved?.volumes).toBeGreaterThan(0.5);
  expect(after?.beerTemperature?.value).toBeCloseTo(before?.beerTemperature?.value ?? Number.NaN, 6);
  for (const part of ['volumes', 'low', 'high'] as const) {
    expect(after?.dissolved?.[part]).toBeCloseTo(before?.dissolved?.[part] ?? Number.NaN, 1);
  }
});
