import { describe, expect, test } from 'vitest';
import { equilibriumPressure, equilibriumVolumes } from '../../src/physics/carbonation.ts';
import {
  absorptionGap,
  bottlePressure,
  closedEquilibrium,
  closedVesselMoles,
  stepClosedVessel,
} from '../../src/physics/headspace.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import {
  celsius,
  kpaAbsolute,
  litres,
  metresPerSecond,
  moles,
  seconds,
  squareMetres,
  volumes,
} from '../../src/physics/units.ts';

const KEG = { beer: litres(18), headspace: litres(1), temperature: celsius(4) };
const SURFACE = squareMetres(0.0363);

describe('where a closed keg ends', () => {
  test('beer and headspace are in equilibrium there', () => {
    const end = closedEquilibrium(KEG, closedVesselMoles(KEG, { dissolved: volumes(1.8), co2: kpaAbsolute(190) }));
    expect(equilibriumVolumes(KEG.temperature, end.co2)).toBeCloseTo(end.dissolved, 9);
    expect(end.dissolved).toBeGreaterThan(1.8);
    expect(end.co2).toBeLessThan(190);
  });

  test('a keg in equilibrium stays as it is', () => {
    const co2 = equilibriumPressure(volumes(2.4), KEG.temperature);
    const end = closedEquilibrium(KEG, closedVesselMoles(KEG, { dissolved: volumes(2.4), co2 }));
    expect(end.co2).toBeCloseTo(co2, 9);
    expect(end.dissolved).toBeCloseTo(2.4, 12);
  });

  test('next to no CO2 is all gas, and none is lost', () => {
    const end = closedEquilibrium(KEG, moles(1e-5));
    expect(end.dissolved).toBe(0);
    expect(closedVesselMoles(KEG, end)).toBeCloseTo(1e-5, 15);
  });

  test('more CO2 than the law bears is refused', () => {
    expect(() => closedEquilibrium(KEG, moles(30))).toThrow(PhysicsRangeError);
  });
});

test('a closed keg tends to its end and gets there', () => {
  const before = { dissolved: volumes(1.8), co2: kpaAbsolute(190) };
  const end = closedEquilibrium(KEG, closedVesselMoles(KEG, before));
  const step = (elapsed: number) => stepClosedVessel(KEG, before, SURFACE, metresPerSecond(2e-6), seconds(elapsed));
  expect(step(0).co2).toBeCloseTo(190, 9);
  expect(step(3600).co2).toBeLessThan(190);
  expect(step(3600).co2).toBeGreaterThan(end.co2);
  expect(step(1e8).co2).toBeCloseTo(end.co2, 6);
});

test('the gap is positive while beer takes up, negative while it gives off, nothing at equilibrium', () => {
  const dissolved = volumes(2);
  const balanced = equilibriumPressure(dissolved, celsius(4));
  expect(absorptionGap(celsius(4), { dissolved, co2: balanced })).toBeCloseTo(0, 12);
  expect(absorptionGap(celsius(4), { dissolved, co2: kpaAbsolute(balanced + 10) })).toBeGreaterThan(0);
  expect(absorptionGap(celsius(4), { dissolved, co2: kpaAbsolute(balanced - 10) })).toBeLessThan(0);
});

test('a brim-full bottle has the equilibrium pressure of its content', () => {
  const bottle = {
    carbonation: volumes(2.5),
    fillTemperature: celsius(2),
    headspaceRatio: 0,
    headspaceCo2: kpaAbsolute(101.325),
  };
  expect(bottlePressure(bottle, celsius(20))).toBeCloseTo(equilibriumPressure(volumes(2.5), celsius(20)), 9);
});

test('a bottle keeps its CO2 as it warms: beer of one part, headspace of its ratio', () => {
  const bottle = {
    carbonation: volumes(2.5),
    fillTemperature: celsius(2),
    headspaceRatio: 0.2,
    headspaceCo2: kpaAbsolute(101.325),
  };
  const inside = { beer: litres(1), headspace: litres(0.2) };
  const capped = closedVesselMoles(
    { ...inside, temperature: celsius(2) },
    { dissolved: bottle.carbonation, co2: bottle.headspaceCo2 },
  );
  const co2 = bottlePressure(bottle, celsius(20));
  const warm = closedVesselMoles(
    { ...inside, temperature: celsius(20) },
    { dissolved: equilibriumVolumes(celsius(20), co2), co2 },
  );
  expect(warm / capped).toBeCloseTo(1, 9);
});

test('a vessel that cannot be is refused', () => {
  expect(() =>
    closedVesselMoles({ ...KEG, beer: litres(0) }, { dissolved: volumes(2), co2: kpaAbsolute(100) }),
  ).toThrow(PhysicsRangeError);
  expect(() =>
    stepClosedVessel(
      { ...KEG, headspace: litres(0) },
      { dissolved: volumes(2), co2: kpaAbsolute(100) },
      SURFACE,
      metresPerSecond(1e-6),
      seconds(1),
    ),
  ).toThrow(PhysicsRangeError);
});
