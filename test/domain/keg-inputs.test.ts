import { describe, expect, test } from 'vitest';
import { ambientPressure, collectInputs, type KegInput, type LiveValue } from '../../src/domain/keg-inputs.ts';
import { aLiveValue, aProbe, aSite, MINUTE, NOON } from '../support/builders.ts';

const inputs = (...values: readonly LiveValue[]) => collectInputs(values, null, aSite(), NOON);
const byQuantity = (found: readonly KegInput[], quantity: string) =>
  found.find((input) => input.quantity === quantity) ?? null;

describe('inputs of a keg', () => {
  test('carry value, age and freshness', () => {
    expect(inputs(aLiveValue('beer-temperature', 4, { ageMs: 4 * MINUTE }))).toEqual([
      {
        quantity: 'beer-temperature',
        probeId: 'one.beer-temperature',
        value: 4,
        unit: 'Cel',
        measuredAtMs: NOON - 4 * MINUTE,
        ageMs: 4 * MINUTE,
        freshness: 'late',
        amiss: null,
        limits: { freshForMs: 3 * MINUTE, lateForMs: 12 * MINUTE },
      },
    ]);
  });

  test('are stale whatever their age while their device is offline', () => {
    const amiss = { kind: 'offline', sinceMs: NOON - MINUTE } as const;
    const [input] = inputs({ ...aLiveValue('beer-temperature', 4), amiss });
    expect(input).toMatchObject({ freshness: 'stale', ageMs: 0, amiss });
    // Another one, heard earlier, stands in.
    const probe = aProbe('beer-temperature', { probeId: 'spare', topic: 'spare' });
    const spare = aLiveValue('beer-temperature', 5, { probe, ageMs: MINUTE });
    const both = inputs({ ...aLiveValue('beer-temperature', 4), amiss }, spare);
    expect(both).toMatchObject([{ probeId: 'spare', freshness: 'fresh' }]);
  });

  test('a reading a little ahead of our clock has no negative age', () => {
    expect(inputs(aLiveValue('beer-temperature', 4, { ageMs: -MINUTE }))[0]?.ageMs).toBe(0);
  });

  test('are calibrated as of when they were measured', () => {
    const probe = aProbe('beer-temperature', {
      calibration: [{ fromMs: NOON - 5 * MINUTE, offset: -1, gain: 1 }],
    });
    expect(inputs(aLiveValue('beer-temperature', 4, { probe }))[0]?.value).toBe(3);
    expect(inputs(aLiveValue('beer-temperature', 4, { probe, ageMs: 6 * MINUTE }))[0]?.value).toBe(4);
  });

  test('of several probes of one quantity the one heard last counts', () => {
    const spare = aProbe('beer-temperature', { probeId: 'spare', topic: 'spare' });
    const found = inputs(
      aLiveValue('beer-temperature', 4, { ageMs: 2 * MINUTE }),
      aLiveValue('beer-temperature', 5, { ageMs: MINUTE, probe: spare }),
    );
    expect(found.map(({ probeId, value }) => [probeId, value])).toEqual([['spare', 5]]);
  });

  test('come in the order of quantities, whatever came first', () => {
    const found = inputs(
      aLiveValue('ambient-pressure', 98),
      aLiveValue('headspace-pressure', 70),
      aLiveValue('air-temperature', 3),
      aLiveValue('beer-temperature', 4),
    );
    expect(found.map(({ quantity }) => quantity)).toEqual([
      'beer-temperature',
      'air-temperature',
      'headspace-pressure',
      'ambient-pressure',
    ]);
  });
});

describe('a sensor of absolute pressure', () => {
  const absolute = aProbe('headspace-pressure', { reference: 'absolute' });

  test('is brought to gauge by the barometer', () => {
    const found = inputs(
      aLiveValue('headspace-pressure', 168, { probe: absolute }),
      aLiveValue('ambient-pressure', 98),
    );
    expect(byQuantity(found, 'headspace-pressure')?.value).toBe(70);
    expect(byQuantity(found, 'ambient-pressure')?.value).toBe(98);
  });

  test('is brought to gauge by the altitude where there is none', () => {
    const found = collectInputs(
      [aLiveValue('headspace-pressure', 171.325, { probe: absolute })],
      null,
      aSite({ altitudeM: 0 }),
      NOON,
    );
    expect(found[0]?.value).toBeCloseTo(70, 9);
  });

  test('a barometer is absolute by nature and stays as it is', () => {
    const barometer = aProbe('ambient-pressure', { reference: 'absolute' });
    expect(inputs(aLiveValue('ambient-pressure', 98, { probe: barometer }))[0]?.value).toBe(98);
  });

  test('a gauge sensor stays as it is', () => {
    const gauge = aProbe('headspace-pressure', { reference: 'gauge' });
    expect(inputs(aLiveValue('headspace-pressure', 70, { probe: gauge }))[0]?.value).toBe(70);
  });
});

describe('local air pressure', () => {
  const barometer = (ageMs: number) => inputs(aLiveValue('ambient-pressure', 98, { ageMs }))[0] ?? null;

  test('is a fresh barometer’s', () => {
    expect(ambientPressure(barometer(0), 700, aSite())).toEqual({ kpaAbsolute: 98, from: 'barometer' });
  });

  test('is the altitude’s of the batch where the barometer is not fresh', () => {
    const found = ambientPressure(barometer(5 * MINUTE), 1524, aSite({ altitudeM: 100 }));
    expect(found.from).toBe('batch-altitude');
    // An engineering table after the U.S. Standard Atmosphere 1976: 12.230 psi at 5,000 ft (1,524 m).
    expect(Math.abs(found.kpaAbsolute / 6.894757 - 12.23)).toBeLessThan(0.005);
  });

  test('is the site’s altitude’s, told apart from an assumed one', () => {
    const set = ambientPressure(null, null, aSite({ altitudeM: 914.4 }));
    expect(set.from).toBe('site-altitude');
    // The same table: 13.173 psi at 3,000 ft (914.4 m).
    expect(Math.abs(set.kpaAbsolute / 6.894757 - 13.173)).toBeLessThan(0.005);
    const assumed = ambientPressure(null, null, aSite({ altitudeM: 0, altitudeIsSet: false }));
    expect(assumed).toEqual({ kpaAbsolute: 101.325, from: 'assumed-sea-level' });
  });
});
