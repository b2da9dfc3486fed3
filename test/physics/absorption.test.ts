import { describe, expect, test } from 'vitest';
import {
  type AGITATION_FACTOR,
  agitatedTransferVelocity,
  beerFluid,
  outgassing,
  outgassingFactor,
  stillAbsorption,
  stillAbsorptionTime,
  stillTransferVelocity,
  transferTemperatureFactor,
} from '../../src/physics/absorption.ts';
import { beerDensity, beerDiffusivity, beerViscosityMpaS } from '../../src/physics/beer.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import { celsius, metres, metresPerSecond, seconds, volumes } from '../../src/physics/units.ts';

const COLD = celsius(4);
const FLUID = beerFluid(COLD);
const DEPTH = metres(0.52);
const DAY_S = 86_400;

test('the fluid is that of its three parts', () => {
  expect(beerFluid(COLD)).toEqual({
    density: beerDensity(COLD),
    viscosityMpaS: beerViscosityMpaS(COLD),
    diffusivity: beerDiffusivity(COLD),
  });
});

describe('a still 19 L keg', () => {
  test('takes one to three weeks to nine tenths, as the home rule has it', () => {
    // "One to two weeks at serving pressure" is common practice, no source; the model is good to a factor of 2.
    const days = stillAbsorptionTime(volumes(0.85), volumes(2.5), DEPTH, 0.9, FLUID) / DAY_S;
    expect(days).toBeGreaterThan(7);
    expect(days).toBeLessThan(21);
  });

  test('time and carbonation are inverses', () => {
    const elapsed = stillAbsorptionTime(volumes(0.85), volumes(2.5), DEPTH, 0.5, FLUID);
    expect(stillAbsorption(volumes(0.85), volumes(2.5), DEPTH, elapsed, FLUID)).toBeCloseTo(0.85 + 1.65 / 2, 9);
  });

  test('beats diffusion alone, which takes 3.1 years in its slowest mode', () => {
    // Source: slowest mode of a slab, 4 L²/(π² D), D 1.1e-9 m²/s, computed separately: 3.1 years.
    const diffusionYears = (4 * DEPTH ** 2) / (Math.PI ** 2 * 1.1e-9) / DAY_S / 365.25;
    expect(diffusionYears).toBeCloseTo(3.1, 0);
    expect(stillAbsorptionTime(volumes(0.85), volumes(2.5), DEPTH, 0.63, FLUID)).toBeLessThan(0.05 * 3.1 * 365 * DAY_S);
  });

  test('does not take up gas above its equilibrium: that is another law', () => {
    expect(() => stillAbsorption(volumes(3), volumes(2.5), DEPTH, seconds(1), FLUID)).toThrow(PhysicsRangeError);
  });
});

test('a stone takes about a day and shaking minutes to hours, as practice has it', () => {
  // Common practice, no source: 30 psi cold one to three days; shaken minutes to an hour.
  const hours = (agitation: keyof typeof AGITATION_FACTOR) =>
    (DEPTH / agitatedTransferVelocity(agitation, volumes(1.65), DEPTH, FLUID)) * (Math.log(10) / 3600);
  expect(hours('stone')).toBeGreaterThan(4);
  expect(hours('stone')).toBeLessThan(48);
  expect(hours('shaken')).toBeLessThan(6);
  expect(agitatedTransferVelocity('still', volumes(1), DEPTH, FLUID)).toBe(
    stillTransferVelocity(volumes(1), DEPTH, FLUID),
  );
});

test('warmer beer takes it up faster, by the ratio of the transfer velocities (but for a density of 0.2 %)', () => {
  const gap = volumes(1);
  for (const temperature of [-1, 4, 12, 20]) {
    const warm = stillTransferVelocity(gap, DEPTH, beerFluid(celsius(temperature)));
    const ratio = warm / stillTransferVelocity(gap, DEPTH, FLUID);
    expect(transferTemperatureFactor(celsius(temperature))).toBeCloseTo(ratio, 2);
  }
  expect(transferTemperatureFactor(celsius(5))).toBeGreaterThan(1.015);
  expect(transferTemperatureFactor(celsius(5))).toBeLessThan(1.045);
});

describe('giving off', () => {
  test('its three pieces meet', () => {
    const around = (at: number) =>
      [outgassingFactor(volumes(at - 1e-9)), outgassingFactor(volumes(at + 1e-9))] as const;
    for (const at of [0.25, 1.75]) {
      const [below, above] = around(at);
      expect(above).toBeCloseTo(below, 6);
    }
    expect(outgassingFactor(volumes(0.1))).toBe(1.8);
    expect(outgassingFactor(volumes(5))).toBeCloseTo(7 * 1.8, 9);
  });

  test('far above equilibrium it passes through all three pieces and ends at equilibrium', () => {
    const left = (days: number) =>
      outgassing(volumes(4), volumes(1), DEPTH, seconds(days * DAY_S), metresPerSecond(2e-6));
    expect(left(0)).toBe(4);
    expect(left(0.1)).toBeLessThan(4);
    expect(left(200)).toBeCloseTo(1, 6);
  });

  test('beer below its equilibrium is refused: it takes up', () => {
    expect(() => outgassing(volumes(1), volumes(2), DEPTH, seconds(1), metresPerSecond(1e-6))).toThrow(
      PhysicsRangeError,
    );
  });
});
