import { describe, expect, test } from 'vitest';
import { beerFluid } from '../../src/physics/absorption.ts';
import { equilibriumVolumes } from '../../src/physics/carbonation.ts';
import {
  breakoutPressure,
  darcyFactor,
  liftPressure,
  lineFlow,
  lineFriction,
  secondsPerBottle,
} from '../../src/physics/line.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import {
  celsius,
  kpaAbsolute,
  kpaGauge,
  litres,
  litresPerSecond,
  metres,
  toAbsolute,
  volumes,
} from '../../src/physics/units.ts';

const FLUID = beerFluid(celsius(2));
const LINE = { bore: metres(0.0047625), length: metres(3), lift: metres(0.5), fittings: 0 };

describe('regimes', () => {
  test('a pressure that does not lift the beer gives no flow', () => {
    expect(lineFlow(kpaGauge(4), LINE, FLUID)).toEqual({ flow: 0, reynolds: 0, regime: 'none' });
  });

  test.each([
    [10, 'laminar'],
    [28, 'transition'],
    [80, 'turbulent'],
  ] as const)('%d kPa is %s', (kpa, regime) => {
    expect(lineFlow(kpaGauge(kpa), LINE, FLUID).regime).toBe(regime);
  });

  test('laminar flow ends at a Reynolds number of 2,300, where the factor jumps', () => {
    // Source: texts on pipe flow, from memory.
    expect(darcyFactor(2299)).toBeCloseTo(64 / 2299, 12);
    expect(darcyFactor(2301)).toBeGreaterThan(0.045);
    expect(lineFlow(kpaGauge(28), LINE, FLUID).reynolds).toBe(2300);
  });

  test('the Reynolds number told is that of the flow told', () => {
    for (const kpa of [10, 28, 80]) {
      const { flow, reynolds } = lineFlow(kpaGauge(kpa), LINE, FLUID);
      expect(lineFriction(flow, LINE.bore, FLUID).reynolds).toBeCloseTo(reynolds, 6);
    }
  });

  test('the pressure is used up by friction, fittings and lift, in both laws', () => {
    for (const kpa of [12, 90]) {
      const line = { ...LINE, fittings: 3 };
      const { flow } = lineFlow(kpaGauge(kpa), line, FLUID);
      const { kpaPerMetre, velocity } = lineFriction(flow, line.bore, FLUID);
      const fittings = (3 * FLUID.density * velocity ** 2) / 2000;
      expect(kpaPerMetre * 3 + fittings + liftPressure(line.lift, FLUID)).toBeCloseTo(kpa, 6);
    }
  });

  test('fittings and lift slow the flow', () => {
    const plain = lineFlow(kpaGauge(70), LINE, FLUID).flow;
    expect(lineFlow(kpaGauge(70), { ...LINE, fittings: 10 }, FLUID).flow).toBeLessThan(plain);
    expect(lineFlow(kpaGauge(70), { ...LINE, lift: metres(1.5) }, FLUID).flow).toBeLessThan(plain);
  });

  test('a flow beyond the laws is refused', () => {
    const wide = { bore: metres(0.05), length: metres(0.1), lift: metres(0), fittings: 0 };
    expect(() => lineFlow(kpaGauge(1000), wide, FLUID)).toThrow(PhysicsRangeError);
  });
});

test('half a litre at 25 mL/s takes 20 s', () => {
  expect(secondsPerBottle(litres(0.5), litresPerSecond(0.025))).toBeCloseTo(20, 12);
});

test('beer breaks out below the pressure at which it is in equilibrium', () => {
  const air = kpaAbsolute(95);
  const gauge = breakoutPressure(volumes(2.4), celsius(2), air);
  expect(equilibriumVolumes(celsius(2), toAbsolute(gauge, air))).toBeCloseTo(2.4, 12);
});
