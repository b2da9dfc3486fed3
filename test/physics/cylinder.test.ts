import { describe, expect, test } from 'vitest';
import {
  co2LiquidDensity,
  co2VapourDensity,
  co2VapourPressure,
  cylinderContent,
  cylinderState,
} from '../../src/physics/cylinder.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import { celsius, kilograms, litres } from '../../src/physics/units.ts';

describe('saturated CO2', () => {
  test('its vapour is close to an ideal gas with its second virial when cold', () => {
    // At −50 °C, 0.68 MPa: Z about 0.87. Ideal gas density p M/(R T).
    const ideal = (co2VapourPressure(celsius(-50)) * 44.0095) / (8.314462618 * 223.15);
    expect(co2VapourDensity(celsius(-50)) / ideal).toBeGreaterThan(1.08);
    expect(co2VapourDensity(celsius(-50)) / ideal).toBeLessThan(1.2);
  });

  test('liquid and vapour meet at the critical point', () => {
    expect(co2LiquidDensity(celsius(30.97)) / co2VapourDensity(celsius(30.97))).toBeLessThan(1.25);
    expect(co2LiquidDensity(celsius(20)) / co2VapourDensity(celsius(20))).toBeGreaterThan(3);
  });

  test.each([31, 40, -60])('there is no answer at %d °C', (temperature) => {
    expect(() => co2VapourPressure(celsius(temperature))).toThrow(PhysicsRangeError);
  });
});

describe('a cylinder of 6.7 L', () => {
  const size = litres(6.7);

  test('holds what it weighs over its tare, and no less than nothing', () => {
    expect(cylinderContent(kilograms(12.4), kilograms(8.1))).toBeCloseTo(4.3, 12);
    expect(cylinderContent(kilograms(8.05), kilograms(8.1))).toBe(0);
    expect(() => cylinderContent(kilograms(7), kilograms(8.1))).toThrow(PhysicsRangeError);
  });

  test('liquid and vapour add up to its content', () => {
    const state = cylinderState(kilograms(4), size, celsius(15));
    if (state.kind !== 'liquid-and-gas') throw new Error(state.kind);
    const vapourL = size - state.liquid / (co2LiquidDensity(celsius(15)) / 1000);
    expect(state.liquid + (vapourL * co2VapourDensity(celsius(15))) / 1000).toBeCloseTo(4, 9);
  });

  test('has no liquid left when little is in it, and the pressure only bounded', () => {
    expect(cylinderState(kilograms(0.5), size, celsius(15))).toEqual({
      kind: 'gas-only',
      pressureBelow: co2VapourPressure(celsius(15)),
    });
  });

  test('is overfull when liquid would fill it', () => {
    expect(cylinderState(kilograms(6), size, celsius(15)).kind).toBe('overfull');
  });
});
