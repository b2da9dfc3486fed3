import { describe, expect, test } from 'vitest';
import type { Outcome } from '../../src/app/outcome.ts';
import { World } from '../support/world.ts';

const refusal = (outcome: Outcome<unknown>) => (outcome.ok ? 'granted' : `${outcome.code}: ${outcome.detail}`);

describe('the site', () => {
  test('begins at sea level, as an assumption that is shown', async () => {
    const world = await World.make();
    world.fill();
    expect(world.state()).toMatchObject({ ambientKpaAbsolute: 101.325, ambientFrom: 'assumed-sea-level' });
  });

  test('changes in what is told, and kegs feel it at once', async () => {
    const world = await World.make();
    world.fill();
    const { placeChanges } = world.services;
    expect(placeChanges.putSite({ altitudeM: 700, line: { boreMm: 5, lengthM: 2, liftM: 0.3 } })).toMatchObject({
      ok: true,
      value: { altitudeM: 700, altitudeAssumed: false, line: { boreMm: 5 } },
    });
    expect(world.state().ambientFrom).toBe('site-altitude');
    expect(placeChanges.putSite({ units: { pressure: '[psi]' } })).toMatchObject({
      value: { altitudeM: 700, units: { pressure: '[psi]', temperature: 'Cel' }, line: { lengthM: 2 } },
    });
    expect(placeChanges.putSite({ line: null, timeZone: 'Europe/Vienna' })).toMatchObject({
      value: { line: null, timeZone: 'Europe/Vienna' },
    });
  });

  test('knows only time zones that there are', async () => {
    const { placeChanges } = (await World.make()).services;
    expect(refusal(placeChanges.putSite({ timeZone: 'Middle/Earth' }))).toMatch(/^body-invalid: timeZone: Middle/);
  });

  test('takes the altitude of the settings until somebody enters one', async () => {
    const world = await World.make({ altitudeM: 500 });
    world.fill();
    expect(world.state().ambientFrom).toBe('site-altitude');
    // Something else is entered: the altitude is still the settings'.
    world.services.placeChanges.putSite({ timeZone: 'UTC' });
    const moved = await World.make({ altitudeM: 900, database: world.database });
    expect(moved.services.register.site().altitudeM).toBe(900);
    moved.services.placeChanges.putSite({ altitudeM: 20 });
    expect(moved.services.register.site().altitudeM).toBe(20);
    const again = await World.make({ altitudeM: 900, database: world.database });
    expect(again.services.register.site().altitudeM).toBe(20);
  });
});

describe('places and gas supplies', () => {
  test('come, are renamed and go', async () => {
    const { placeChanges, register } = (await World.make()).services;
    placeChanges.putPlace('garage', { name: 'Garage' });
    placeChanges.putPlace('garage', { name: 'Cold garage' });
    expect(register.places().map(({ name }) => name)).toEqual(['Fridge', 'Cold garage']);
    expect(placeChanges.deletePlace('garage').ok).toBe(true);
    expect(refusal(placeChanges.deletePlace('garage'))).toBe('place-unknown: There is no place garage.');
    placeChanges.putSupply('mixed', { co2Ratio: 0.7, cylinderKg: 10 });
    expect(placeChanges.putSupply('mixed', { name: 'Mixed' })).toEqual({
      ok: true,
      value: { supplyId: 'mixed', name: 'Mixed', co2Ratio: 0.7, cylinderKg: 10 },
    });
    expect(placeChanges.putSupply('mixed', { co2Ratio: null, cylinderKg: null })).toMatchObject({
      value: { name: 'Mixed', co2Ratio: null, cylinderKg: null },
    });
    expect(placeChanges.putSupply('new', {})).toMatchObject({ value: { name: 'new', co2Ratio: 1, cylinderKg: null } });
    expect(placeChanges.deleteSupply('mixed').ok).toBe(true);
    expect(refusal(placeChanges.deleteSupply('mixed'))).toBe('supply-unknown: There is no gas supply mixed.');
  });

  test('stay while kegs are in or on them, and the first ones always', async () => {
    const world = await World.make();
    const { placeChanges, kegChanges } = world.services;
    expect(refusal(placeChanges.deletePlace('fridge'))).toMatch(/^still-in-use: .*new kegs are put into it/);
    expect(refusal(placeChanges.deleteSupply('gas'))).toMatch(/^still-in-use: .*new kegs are put on it/);
    placeChanges.putPlace('garage', { name: 'Garage' });
    placeChanges.putSupply('mixed', {});
    kegChanges.putKeg('one', { placeId: 'garage', supplyId: 'mixed' });
    expect(refusal(placeChanges.deletePlace('garage'))).toMatch(/^still-in-use: .*kegs are in it: one/);
    expect(refusal(placeChanges.deleteSupply('mixed'))).toMatch(/^still-in-use: .*kegs are on it: one/);
  });

  test('mixed gas of unknown share makes carbonation unknown at once', async () => {
    const world = await World.make();
    world.fill();
    await world.minutes(2, 4, 70);
    world.services.placeChanges.putSupply('gas', { co2Ratio: null });
    expect(world.state()).toMatchObject({ equilibriumVolumes: null, advisedKpaGauge: null });
  });
});
