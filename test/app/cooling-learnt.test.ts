/**
 * Aim: how fast a keg cooled is known at the beginning of its next batch, over a restart, until it is forgotten.
 * Method: beer that cools by the law of one lump (Incropera and DeWitt, ch. 5) with 12 h, sent to the running service.
 */
import { expect, test } from 'vitest';
import { Learning } from '../../src/app/learning.ts';
import type { EventEntry } from '../../src/contract/index.ts';
import { iso, MINUTE, NOON, SECOND } from '../support/builders.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { settle } from '../support/until.ts';
import { World } from '../support/world.ts';

const HOUR = 60 * MINUTE;
const FILLED = {
  kind: 'keg-filled',
  totalLitres: 19.5,
  beerLitres: 18.9,
  beerState: 'flat',
  probe: 'thermowell',
} as const;

const cooling = (hours: number) => 2 + 16 * Math.exp(-hours / 12);

function enter(world: World, entry: EventEntry): void {
  const added = world.services.kegChanges.addEvent('one', entry);
  if (!added.ok) throw new Error(added.detail);
}

/** Sends temperatures of some hours as time passes. */
async function live(world: World, fromMs: number, hours: number, beerC: (hours: number) => number): Promise<void> {
  for (let atMs = fromMs + 30 * SECOND; atMs <= fromMs + hours * HOUR; atMs += 5 * MINUTE) {
    world.clock.advanceTo(atMs);
    const value = beerC((atMs - fromMs) / HOUR);
    expect(await world.hear('probes/one/beer-temperature', JSON.stringify({ value, time: iso(atMs) }))).toEqual([]);
    world.tick();
    await settle(1);
  }
  world.clock.advance(15 * SECOND);
  await world.estimated();
}

test('how fast it cooled counts in the next one too, from the filling on, until it is forgotten', async () => {
  const world = await World.make({ estimating: true, clock: new FakeClock(NOON) });
  world.services.kegChanges.putKeg('one', {});
  enter(world, { ...FILLED, at: iso(NOON) });
  enter(world, { kind: 'fridge-set', at: iso(NOON), celsius: 2 });
  await live(world, NOON, 15.5, cooling);
  enter(world, { kind: 'keg-emptied', at: iso(NOON + 15 * HOUR) });
  await world.estimated();
  const learnt = world.services.learning.of('one');
  const told = learnt.ok ? learnt.value.learnt?.cooling : null;
  expect(told?.lowHours).toBeLessThan(12);
  expect(told?.highHours).toBeGreaterThan(12);
  expect(world.estimates.coolingConstant('one')).toBeNull();

  world.clock.advanceTo(NOON + 17 * HOUR);
  enter(world, { ...FILLED, at: iso(NOON + 17 * HOUR) });
  await live(world, NOON + 17 * HOUR, 1, () => 2);
  const known = world.estimates.coolingConstant('one')?.hours ?? 0;
  expect(known).toBeGreaterThan(10.5);
  expect(known).toBeLessThan(12.5);

  const again = await world.restart();
  await again.estimated();
  expect(again.services.learning.of('one')).toEqual(learnt);
  expect(again.estimates.coolingConstant('one')?.hours).toBe(known);
  expect(again.services.learning.forget('one').ok).toBe(true);
  await again.estimated();
  expect(again.services.learning.of('one')).toMatchObject({ value: { learnt: null } });
  expect(again.estimates.coolingConstant('one')?.hours ?? null).not.toBe(known);
});

test('a row that was stored before cooling was learnt says nothing of it', async () => {
  const world = await World.make({ estimating: true, clock: new FakeClock(NOON) });
  world.services.kegChanges.putKeg('one', {});
  enter(world, { ...FILLED, at: iso(NOON) });
  const batch = world.services.register.batchAt('one', NOON);
  if (batch === null) throw new Error('the keg is full');
  const belief = { mean: 12, sd: 0.1 };
  const older = { lnTau: belief, logitSurface: belief, lnDepth: belief, logitDeep: belief };
  const learning = new Learning(world.services.register, { learnt: () => ({ batch, learning: older }) }, world.clock);
  expect(learning.of('one')).toMatchObject({ ok: true, value: { learnt: { cooling: null } } });
});
