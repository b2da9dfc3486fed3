import { describe, expect, test } from 'vitest';
import { Feed } from '../../src/app/feed.ts';
import { Monitor } from '../../src/app/monitor.ts';
import { DAY, HOUR, iso, MINUTE, NOON, SECOND } from '../support/builders.ts';
import { World } from '../support/world.ts';

describe('a keg that is only heard of', () => {
  test('is suggested, with its values, as not adopted', async () => {
    const world = await World.make();
    await world.beer(4);
    await world.headspace(70);
    world.clock.advance(50);
    expect(world.services.monitor.suggestedKegIds()).toEqual(['one']);
    expect(world.state()).toMatchObject({
      kegId: 'one',
      name: 'one',
      adopted: false,
      batchId: null,
      beerTemperatureC: 4,
      headspaceKpaGauge: 70,
      equilibriumVolumes: expect.closeTo(2.34, 2),
      verdict: { kind: 'unknown', headline: 'Say what is in this keg and when it was filled.' },
    });
  });

  test('that is put into the catalogue keeps what was heard', async () => {
    const world = await World.make();
    await world.beer(4);
    world.fill();
    expect(world.state()).toMatchObject({ adopted: true, beerTemperatureC: 4, batchName: 'Harvest Amber' });
    expect(world.services.monitor.suggestedKegIds()).toEqual([]);
  });

  test('is no longer suggested when it was dismissed, until somebody adds it', async () => {
    const world = await World.make();
    await world.beer(4);
    world.clock.advance(50);
    world.services.kegChanges.deleteKeg('one', true);
    expect(world.services.feed.state('one')).toBeNull();
    expect(world.frames.at(-1)).toMatchObject({ type: 'keg-gone', kegId: 'one' });
    await world.beer(5);
    world.go(2 * SECOND);
    expect(world.services.feed.state('one')).toBeNull();
    expect(world.services.monitor.suggestedKegIds()).toEqual([]);
    world.services.kegChanges.putKeg('one', {});
    expect(world.state()).toMatchObject({ adopted: true, beerTemperatureC: 5 });
  });

  test('is no longer suggested after a day of silence', async () => {
    const world = await World.make();
    await world.beer(4);
    world.go(SECOND);
    world.clock.advance(DAY);
    world.go(SECOND);
    expect(world.services.monitor.suggestedKegIds()).toEqual([]);
    expect(world.services.feed.state('one')).toBeNull();
    await world.beer(4);
    world.clock.advance(50);
    expect(world.state().adopted).toBe(false);
  });

  test('keeps quiet of its silent probes when it is dismissed', async () => {
    const world = await World.make();
    await world.minutes(3, 4, 70);
    world.go(15 * MINUTE);
    expect(world.told()).toEqual(['probe-silent active']);
    world.services.kegChanges.deleteKeg('one', true);
    world.go(SECOND);
    expect(world.told().slice(1)).toEqual(['probe-silent ended']);
    world.go(HOUR);
    expect(world.told()).toHaveLength(2);
  });
});

describe('readings', () => {
  test('of a burst go out together, fifty milliseconds later', async () => {
    const world = await World.make();
    world.fill();
    const before = world.frames.length;
    await world.beer(4);
    world.clock.advance(30);
    await world.headspace(70);
    expect(world.frames).toHaveLength(before);
    world.clock.advance(20);
    expect(world.frames.slice(before).map(({ type }) => type)).toEqual(['keg']);
    expect(world.state()).toMatchObject({ beerTemperatureC: 4, headspaceKpaGauge: 70 });
  });

  test('that come late or again change nothing', async () => {
    const world = await World.make();
    world.fill();
    await world.hear('probes/one/beer-temperature', `{"value":4,"time":"${iso(NOON)}"}`);
    world.go(SECOND);
    const before = world.frames.length;
    await world.hear('probes/one/beer-temperature', `{"value":4,"time":"${iso(NOON)}"}`);
    await world.hear('probes/one/beer-temperature', `{"value":9,"time":"${iso(NOON - HOUR)}"}`);
    world.go(SECOND);
    expect(world.frames).toHaveLength(before);
    expect(world.state().beerTemperatureC).toBe(4);
  });

  test('of two values at one moment, the later counts', async () => {
    const world = await World.make();
    world.fill();
    await world.beer(4);
    await world.beer(5);
    world.go(SECOND);
    expect(world.state().beerTemperatureC).toBe(5);
  });

  test('of a place, a gas supply and the site reach the kegs they bear on', async () => {
    const world = await World.make();
    world.fill('one');
    world.fill('two');
    world.services.placeChanges.putPlace('garage', { name: 'Garage' });
    world.services.kegChanges.putKeg('two', { placeId: 'garage' });
    await world.hear('probes/place/fridge/air-temperature', 3);
    await world.hear('probes/gas/gas/regulator-pressure', 80);
    await world.hear('probes/site/ambient-pressure', 98);
    world.clock.advance(50);
    const quantities = (kegId: string) => world.state(kegId).inputs.map(({ quantity }) => quantity);
    expect(quantities('one')).toEqual(['air-temperature', 'regulator-pressure', 'ambient-pressure']);
    expect(quantities('two')).toEqual(['regulator-pressure', 'ambient-pressure']);
    expect(world.state('two')).toMatchObject({
      regulatorKpaGauge: 80,
      ambientKpaAbsolute: 98,
      ambientFrom: 'barometer',
    });
  });

  test('retained ones without a time of their own are memories: nothing is stored or shown', async () => {
    const world = await World.make();
    world.fill();
    expect(await world.hear('probes/one/beer-temperature', 4, { retained: true })).toEqual([]);
    expect(await world.store.extents()).toEqual([]);
    expect(world.services.probes.all()).toEqual([]);
    await world.hear('probes/one/beer-temperature', `{"value":4,"time":"${iso(NOON - HOUR)}"}`, { retained: true });
    world.clock.advance(50);
    expect(world.state()).toMatchObject({ beerTemperatureC: 4, inputs: [{ state: 'stale' }] });
  });

  test('of kegs that nobody may suggest do not disturb', async () => {
    const world = await World.make();
    await world.hear('probes/site/ambient-pressure', 98);
    world.go(SECOND);
    expect(world.services.feed.states()).toEqual([]);
  });
});

describe('silence', () => {
  test('makes the verdict unknown and the equilibrium nothing, and shows the last value with its age', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(4, 4, 70);
    expect(world.state().equilibriumVolumes).not.toBeNull();
    world.go(13 * MINUTE);
    expect(world.state()).toMatchObject({
      beerTemperatureC: 4,
      equilibriumVolumes: null,
      verdict: { kind: 'unknown', headline: expect.stringMatching(/^Look at the beer thermometer/) },
    });
    expect(world.state().inputs.map(({ state }) => state)).toEqual(['stale', 'stale']);
  });

  test('of one probe is an alert that ends when it is heard again', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(4, 4, 70);
    for (let minute = 0; minute < 20; minute += 1) {
      world.go(MINUTE);
      await world.headspace(70);
    }
    expect(world.told()).toEqual(['probe-silent active']);
    expect(world.episodes()[0]).toMatchObject({
      rule: 'probe-silent',
      target: 'one.beer-temperature',
      kegId: 'one',
      level: 'attention',
      message: 'The beer thermometer of Harvest Amber is silent. It usually speaks every 1 min.',
    });
    await world.beer(4);
    world.go(SECOND);
    expect(world.told()).toEqual(['probe-silent active', 'probe-silent ended']);
    expect(world.episodes()[0]?.message).toBe('The beer thermometer of Harvest Amber is heard again.');
  });

  test('of a probe that was heard once is no alert for half an hour: it may speak seldom', async () => {
    const world = await World.make();
    world.fill();
    await world.beer(4);
    world.go(29 * MINUTE);
    expect(world.told()).toEqual([]);
    world.go(2 * MINUTE);
    expect(world.told()).toEqual(['probe-silent active']);
  });

  test('of a probe of a place, a gas supply or the site names it', async () => {
    const world = await World.make();
    world.services.placeChanges.putSupply('bulk', { name: 'Bulk tank' });
    for (const topic of ['place/fridge/air-temperature', 'gas/bulk/cylinder-mass', 'site/ambient-pressure']) {
      await world.hear(`probes/${topic}`, 50);
      world.go(5 * MINUTE);
    }
    world.go(3 * HOUR);
    const told = world.episodes();
    expect(told.map(({ kegId }) => kegId)).toEqual([null, null, null]);
    expect(told.map(({ message }) => message).toSorted()).toEqual([
      'The air thermometer of Fridge is silent.',
      'The barometer of the site is silent.',
      'The cylinder scale of Bulk tank is silent.',
    ]);
  });
});

describe('silence over a restart', () => {
  test('begins to count anew: nothing could be heard meanwhile', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(4, 4, 70);
    const again = await world.restart(DAY);
    again.go(11 * MINUTE);
    expect(again.told()).toEqual([]);
    again.go(2 * MINUTE);
    expect(again.told()).toEqual(['probe-silent active']);
  });

  test('that was told before a restart is not told again, and ends only when the probe is heard', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(4, 4, 70);
    world.go(15 * MINUTE);
    expect(world.told()).toHaveLength(1);
    const again = await world.restart(HOUR);
    again.go(HOUR);
    expect(again.told()).toEqual([]);
    await again.beer(4);
    again.go(SECOND);
    expect(again.told()).toEqual([]);
    await again.headspace(70);
    again.go(2 * SECOND);
    expect(again.told()).toEqual(['probe-silent ended']);
  });

  test('is not broken by past readings that are imported', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(4, 4, 70);
    world.go(15 * MINUTE);
    const at = iso(world.clock.nowMs() - 20 * SECOND);
    await world.hear('probes/one/beer-temperature', `{"value":4,"time":"${at}"}`, { policy: 'import' });
    world.go(SECOND);
    expect(world.told()).toEqual(['probe-silent active']);
  });
});

describe('cold enough', () => {
  test('is kept before it is told, once, with the name of the beer', async () => {
    const world = await World.make();
    world.fill();
    const keptWhenTold: (string | undefined)[] = [];
    world.services.feed.listen((frame) => {
      if (frame.type === 'alert') keptWhenTold.push(world.journal.episode(frame.episode.id)?.state.kind);
    });
    await world.minutes(30, 1.9, 70);
    expect(world.told()).toEqual(['cold-enough active']);
    expect(keptWhenTold).toEqual(['active']);
    expect(world.episodes()[0]).toMatchObject({
      rule: 'cold-enough',
      state: 'active',
      kegId: 'one',
      measured: 1.9,
      limit: 2.2,
      unit: 'Cel',
      message: 'Harvest Amber is cold enough to fill: 1.9\u00a0°C.',
    });
  });

  test('while it builds is kept, not told, and gone without a trace when it comes to nothing', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(5, 1.9, 70);
    expect(world.episodes().map(({ state }) => state)).toEqual(['building']);
    await world.minutes(1, 3, 70);
    expect(world.episodes()).toEqual([]);
    expect(world.told()).toEqual([]);
  });

  test('goes on building over a restart', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(6, 1.9, 70);
    const again = await world.restart(2 * MINUTE);
    await again.minutes(3, 1.9, 70);
    expect(again.told()).toEqual(['cold-enough active']);
  });

  test('is marked unverified while nothing can be heard, and never ends by silence', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(12, 1.9, 70);
    world.go(HOUR);
    const [cold] = world.episodes().filter(({ rule }) => rule === 'cold-enough');
    expect(cold).toMatchObject({ state: 'active', unverified: true });
    await world.minutes(1, 1.9, 70);
    const [heard] = world.episodes().filter(({ rule }) => rule === 'cold-enough');
    expect(heard).toMatchObject({ state: 'active', unverified: false });
    expect(world.told().filter((told) => told.startsWith('cold'))).toEqual([
      'cold-enough active',
      'cold-enough active',
      'cold-enough active',
    ]);
  });

  test('ends when it gets warm, and can come again', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(12, 1.9, 70);
    await world.minutes(1, 2.6, 70);
    await world.minutes(12, 2.1, 70);
    expect(world.told()).toEqual(['cold-enough active', 'cold-enough ended', 'cold-enough active']);
    expect(world.episodes().map(({ message }) => message)).toEqual([
      'Harvest Amber is cold enough to fill: 2.1\u00a0°C.',
      'Harvest Amber is no longer cold enough to fill: 2.6\u00a0°C.',
    ]);
  });
});

describe('the alert of cold enough', () => {
  test('follows the fill temperature that holds at the time of the sample', async () => {
    const world = await World.make();
    world.fill();
    const at = iso(world.clock.nowMs());
    world.services.kegChanges.addEvent('one', { kind: 'target-set', at, volumes: 2.4, tolerance: 0.2, celsius: 6 });
    await world.minutes(12, 6.1, 70);
    expect(world.told()).toEqual(['cold-enough active']);
  });

  test('ends with the keg', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(12, 1.9, 70);
    world.services.kegChanges.deleteKeg('one', true);
    expect(world.told()).toEqual(['cold-enough active', 'cold-enough ended']);
  });
});

describe('a verdict', () => {
  test('tells since when it holds, over restarts', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(3, 4, 70);
    const { since } = world.state().verdict;
    world.go(MINUTE);
    expect(world.state().verdict).toMatchObject({ kind: 'unknown', since });
    await world.minutes(1, 4, 20);
    const changedAt = iso(world.clock.nowMs());
    expect(world.state().verdict).toMatchObject({ kind: 'act', since: changedAt });
    const again = await world.restart(SECOND);
    expect(again.state().verdict).toMatchObject({ kind: 'act', since: changedAt });
  });

  test('is never ready as long as what is dissolved cannot be told', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(20, 1.9, 70);
    expect(world.state()).toMatchObject({ dissolved: null, readyIn: null, coldIn: null, verdict: { kind: 'unknown' } });
  });

  test('with the ages of now is told on request', async () => {
    const world = await World.make();
    world.fill();
    await world.beer(4);
    world.clock.advance(50);
    world.clock.advance(700);
    expect(world.services.monitor.stateNow('one')?.inputs[0]?.ageMs).toBe(750);
    expect(world.services.monitor.stateNow('two')).toBeNull();
  });
});

test('after a restart everything is as before, but for its age', async () => {
  const world = await World.make();
  world.fill();
  await world.minutes(10, 4, 70);
  const before = world.state();
  const after = (await world.restart()).state();
  expect(after).toEqual({ ...before, at: after.at });
});

describe('a time in which the service did not run', () => {
  const steady = (world: World) => world.state().verdict.checks.find(({ name }) => name === 'steady');

  test('is not called steady, unless its readings come after all', async () => {
    const world = await World.make({ estimating: true });
    world.fill();
    await world.minutes(45, 4, 70);
    await world.estimated();
    expect(steady(world)).toMatchObject({ state: 'pass' });
    world.delivery.tick({ received: 0, stored: 0, duplicates: 0, rejected: 0, waiting: 0 });
    const after = await world.restart(12 * MINUTE);
    after.delivery.tick({ received: 0, stored: 0, duplicates: 0, rejected: 0, waiting: 0 });
    await after.minutes(8, 4, 70);
    await after.estimated();
    expect(steady(after)).toMatchObject({
      state: 'unknown',
      advice: expect.stringMatching(/^12 min of the last half hour were not heard, because Quietkeg did not run/),
    });
    // What the probes kept meanwhile, with their own times.
    for (let minute = 8; minute < 21; minute += 1) {
      const time = iso(after.clock.nowMs() - minute * MINUTE);
      await after.hear('probes/one/beer-temperature', JSON.stringify({ value: 4, time }));
      await after.hear('probes/one/headspace-pressure', JSON.stringify({ value: 70, time }));
    }
    await after.minutes(1, 4, 70);
    await after.estimated();
    expect(steady(after)).toMatchObject({ state: 'pass' });
  });
});

describe('a temperature that no keg can have had so fast', () => {
  test('is kept, shown as doubted, and used by nothing until it persists', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(5, 4, 70);
    world.clock.advance(MINUTE);
    await world.beer(70);
    world.tick();
    expect(world.state()).toMatchObject({ beerTemperatureC: 4 });
    const shown = () => world.services.probeChanges.list().find(({ probeId }) => probeId === 'one.beer-temperature');
    expect(shown()).toMatchObject({ lastValue: 4, doubted: { value: 70, at: iso(world.clock.nowMs()) } });
    const kept = await world.store.latest('one.beer-temperature', 1);
    expect(kept).toMatchObject([{ value: 70 }]);
    const after = await world.restart(MINUTE);
    expect(after.state()).toMatchObject({ beerTemperatureC: 4 });
    await after.minutes(2, 70, 70);
    expect(after.state()).toMatchObject({ beerTemperatureC: 70 });
    expect(after.services.probeChanges.list()[0]).toMatchObject({ doubted: null });
  });
});

test('a keg whose state cannot be computed takes no other with it, and is told once', async () => {
  const world = await World.make();
  const told: string[] = [];
  const feed = new Feed();
  const watch = {
    accept: () => undefined,
    doubted: () => false,
    kegGone: () => undefined,
    startAnew: () => undefined,
    tick: () => undefined,
    look: ({ keg }: { keg: { kegId: string } }) => {
      if (keg.kegId === 'one') throw new RangeError('out of all reason');
    },
  };
  const { register, probes } = world.services;
  const monitor = new Monitor({
    clock: world.clock,
    register,
    probes,
    feed,
    watch,
    journal: world.journal,
    estimates: world.estimates,
    fillPlans: { planned: () => null },
    onMistake: (error, kegId) => told.push(`${kegId}: ${error.message}`),
  });
  world.fill('one');
  world.fill('two', 'Gate Post');
  monitor.tick();
  monitor.tick();
  expect(told).toEqual(['one: out of all reason']);
  expect(feed.states().map(({ kegId }) => kegId)).toEqual(['two']);
});
