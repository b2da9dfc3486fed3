/** Aim: what is heard, missed and done reaches the rules as people mean it. */
import { describe, expect, test } from 'vitest';
import { HOUR, iso, MINUTE, NOON, SECOND } from '../support/builders.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { World } from '../support/world.ts';

const at = (world: World, minutesAgo: number, value: number) =>
  JSON.stringify({ value, time: iso(world.clock.nowMs() - minutesAgo * MINUTE) });
const MAPPED = {
  pointer: null,
  unit: null,
  reference: null,
  place: null,
  timeUnit: null,
  availability: null,
  calibration: [],
};
const open = (world: World) =>
  world.services.desk
    .told()
    .map(({ rule, target }) => `${rule} ${target}`)
    .toSorted();

describe('thermometers', () => {
  test('of one keg do not contradict each other: the better placed one counts', async () => {
    const world = await World.make();
    world.fill();
    const spare = {
      ...MAPPED,
      topic: 'cellar/spare',
      quantity: 'beer-temperature',
      of: 'one',
      place: 'thermowell',
    } as const;
    world.services.probeChanges.put('spare', spare);
    for (let minute = 0; minute < 40; minute += 1) {
      world.clock.advance(MINUTE);
      await world.hear('cellar/spare', 1.8);
      await world.beer(4);
      world.tick();
    }
    expect(world.told()).toEqual(['cold-enough active']);
    // When it falls silent, the other one counts.
    for (let minute = 0; minute < 40; minute += 1) {
      world.clock.advance(MINUTE);
      await world.beer(4);
      world.tick();
    }
    expect(world.told().filter((told) => told.startsWith('cold'))).toEqual(['cold-enough active', 'cold-enough ended']);
  });

  test('that deliver late, the newest first, raise what they would have raised in time', async () => {
    const world = await World.make();
    world.fill();
    await world.beer(6);
    world.clock.advance(HOUR);
    await world.hear('probes/one/beer-temperature', at(world, 0, 1.9));
    expect(world.told()).toEqual([]);
    for (let minute = 30; minute > 0; minute -= 2) {
      await world.hear('probes/one/beer-temperature', at(world, minute, 1.9));
    }
    expect(world.told().filter((told) => told.startsWith('cold'))).toEqual(['cold-enough active']);
  });
});

test('a past that is imported is told to nobody, but rules look back on it', async () => {
  const world = await World.make();
  world.fill();
  for (let minute = 20 * 60; minute > 61; minute -= 1) {
    await world.hear('probes/place/fridge/room-co2', at(world, minute, 6000), { policy: 'import' });
    await world.hear('probes/one/beer-temperature', at(world, minute, -3), { policy: 'import' });
  }
  world.tick();
  expect(world.told()).toEqual([]);
  await world.hear('probes/place/fridge/room-co2', 6000);
  expect(world.told()).toEqual(['room-co2-long active']);
});

test('a clock that counts parts of milliseconds, as real ones do, leaves times that can be kept', async () => {
  class FineClock extends FakeClock {
    override monotonicMs(): number {
      return super.monotonicMs() + (super.monotonicMs() % 7) / 10;
    }
  }
  const world = await World.make({ clock: new FineClock(NOON) });
  world.fill();
  for (let step = 0; step < 20 * 60; step += 1) {
    // The wall clock falls behind, so that the other one tells the time.
    if (step === 3) world.clock.stepWall(-HOUR);
    world.clock.advance(1003);
    await world.beer(1.5);
    world.tick();
  }
  const [alert] = world.services.desk.told();
  expect(alert?.rule).toBe('cold-enough');
  const views = world.journal.kegViews('one', 0, 2 * NOON);
  expect(views.length).toBeGreaterThan(0);
  for (const { atMs } of views) expect(atMs % 1).toBe(0);
});

describe('values that cannot be true', () => {
  test('several times in a row are told, and the silence that comes of them is not', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(5, 4, 70);
    for (let minute = 0; minute < 40; minute += 1) {
      world.clock.advance(MINUTE);
      await world.beer(85);
      await world.headspace(70);
      world.tick();
    }
    expect(open(world)).toEqual(['probe-implausible one.beer-temperature']);
    await world.minutes(70, 4, 70);
    expect(open(world)).toEqual([]);
    expect(world.told().filter((told) => told.startsWith('probe-silent'))).toEqual([]);
  });
});

describe('the service', () => {
  test('without its broker says so once, and not that every probe is silent', async () => {
    let broker: string | null = null;
    const world = await World.make({ health: () => ({ broker, spool: null, store: null, clock: null }) });
    world.fill();
    await world.minutes(5, 4, 70);
    broker = 'refused the connection';
    world.go(HOUR);
    expect(world.told()).toEqual(['service-trouble active']);
    broker = null;
    await world.minutes(15, 4, 70);
    expect(world.told()).toEqual(['service-trouble active', 'service-trouble clearing', 'service-trouble ended']);
  });

  test('says what fails of itself, but gives itself a moment after a start', async () => {
    const world = await World.make({ health: () => ({ broker: null, spool: null, store: null, clock: 'wrong' }) });
    world.go(4 * MINUTE);
    expect(open(world)).toEqual([]);
    world.go(2 * MINUTE);
    expect(open(world)).toEqual(['service-trouble clock']);
  });

  test('calls nobody silent because its clock was set on, and goes on when it is set back', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(5, 4, 70);
    world.clock.stepWall(3 * HOUR);
    world.go(5 * MINUTE);
    expect(world.told()).toEqual([]);
    world.clock.stepWall(-3 * HOUR);
    world.go(30 * MINUTE);
    expect(world.told()).toEqual(['probe-silent active']);
  });
});

describe('CO2 in the room', () => {
  const breath = async (world: World, minutes: number, ppm: number) => {
    for (let minute = 0; minute < minutes; minute += 1) {
      world.clock.advance(MINUTE);
      await world.hear('probes/place/fridge/room-co2', ppm);
    }
    world.tick();
  };

  test('is told by its means, by single readings when it is dangerous, and the worst speaks for all', async () => {
    const world = await World.make();
    await breath(world, 8 * 60, 700);
    await breath(world, 10, 20_000);
    expect(open(world)).toEqual([]);
    await breath(world, 5, 20_000);
    expect(open(world)).toEqual(['room-co2-short fridge']);
    await breath(world, 1, 35_000);
    expect(open(world)).toEqual(['room-co2-danger fridge', 'room-co2-short fridge']);
    await breath(world, 40, 700);
    expect(open(world)).toEqual([]);
    // Not told beside the others, and the mean of eight hours is low again with time.
    expect(world.told().filter((told) => told.includes('long'))).toEqual([]);
  });

  test('is remembered over a restart', async () => {
    const world = await World.make();
    await breath(world, 14, 20_000);
    const again = await world.restart(SECOND);
    await breath(again, 1, 20_000);
    expect(open(again)).toEqual(['room-co2-short fridge']);
  });
});

test('beer that gets warm while bottles are filled is told at once, and ends with the fill', async () => {
  const world = await World.make();
  world.fill();
  await world.minutes(12, 1.9, 70);
  await world.minutes(10, 3.4, 70);
  expect(world.told().filter((told) => told.startsWith('no-longer'))).toEqual([]);
  world.services.kegChanges.addEvent('one', { kind: 'fill-started', at: iso(world.clock.nowMs()) });
  await world.minutes(4, 3.4, 70);
  expect(open(world)).toEqual(['no-longer-cold one']);
  world.services.kegChanges.addEvent('one', { kind: 'fill-ended', at: iso(world.clock.nowMs()) });
  await world.minutes(8, 3.4, 70);
  expect(open(world)).toEqual([]);
});

test('a cylinder that runs low is told for its supply, and unverified when its scale falls silent', async () => {
  const world = await World.make();
  for (let minute = 0; minute < 15; minute += 1) {
    world.clock.advance(MINUTE);
    await world.hear('probes/gas/gas/cylinder-mass', 0.25);
    world.tick();
  }
  expect(open(world)).toEqual(['cylinder-low gas']);
  world.go(HOUR);
  expect(world.services.desk.told().find(({ rule }) => rule === 'cylinder-low')?.unverified).toBe(true);
});

test('an absolute sensor is judged by its gauge pressure', async () => {
  const world = await World.make();
  world.services.kegChanges.putKeg('one', { workingKpaGaugeMax: 100 });
  world.fill();
  const probe = {
    ...MAPPED,
    topic: 'cellar/abs',
    quantity: 'headspace-pressure',
    of: 'one',
    reference: 'absolute',
  } as const;
  world.services.probeChanges.put('abs', probe);
  await world.hear('cellar/abs', 190);
  expect(open(world)).toEqual([]);
  world.clock.advance(MINUTE);
  await world.hear('cellar/abs', 205);
  expect(open(world)).toEqual(['over-working-pressure one']);
});

describe('a thermometer that repeats its last value', () => {
  test('is told after two days, and nothing rests on it until it moves', async () => {
    const world = await World.make();
    world.fill();
    // Of a sixteenth of a degree, with a noise of its own.
    const trembling = (n: number) => Math.round((4 + 0.3 * Math.sin(n / 30) + 0.05 * Math.sin(n * 2.3)) * 16) / 16;
    const speak = async (hours: number, valueAt: (n: number) => number) => {
      for (let n = 0; n < hours * 6; n += 1) {
        world.clock.advance(10 * MINUTE);
        await world.beer(valueAt(n));
        await world.headspace(70 + 0.3 * Math.sin(n * 2.3));
        world.tick();
      }
    };
    const input = () => world.state().inputs.find(({ quantity }) => quantity === 'beer-temperature');
    await speak(30, trembling);
    await speak(47, () => 4);
    expect(input()).toMatchObject({ state: 'fresh', amiss: null });
    await speak(3, () => 4);
    expect(open(world)).toContain('probe-implausible one.beer-temperature');
    world.tick();
    expect(input()).toMatchObject({ state: 'stale', amiss: { kind: 'stuck' } });
    expect(world.state().equilibriumVolumes).toBeNull();
    const fresh = world.state().verdict.checks.find(({ name }) => name === 'probes-fresh');
    expect(fresh?.advice).toMatch(/^Look at the beer thermometer: it has given the very same value for 2 days\.$/);
    await speak(1, trembling);
    expect(input()).toMatchObject({ state: 'fresh', amiss: null });
  });
});
