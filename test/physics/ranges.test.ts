/** The ranges that the documentation states: good at the limit, refused a hair beyond it. */
import { expect, test } from 'vitest';
import { beerFluid, rayleighNumber } from '../../src/physics/absorption.ts';
import { airPressureAtAltitude } from '../../src/physics/atmosphere.ts';
import { equilibriumPressure, equilibriumVolumes } from '../../src/physics/carbonation.ts';
import { metricGramsPerLitre, polynomialPressure } from '../../src/physics/carbonation-cross-check.ts';
import { gasMoles, gramsPerLitreOfVolumes, secondVirialCm3PerMol } from '../../src/physics/co2.ts';
import { co2VapourPressure } from '../../src/physics/cylinder.ts';
import { beerFreezingPoint, beerFreezingPointByWeight } from '../../src/physics/freezing.ts';
import { chokedPressureRatio } from '../../src/physics/leak.ts';
import { darcyFactor, liftPressure } from '../../src/physics/line.ts';
import { primingSugarGrams, residualVolumesTradeTable } from '../../src/physics/priming.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import { celsius, kpaAbsolute, litres, metres, volumes } from '../../src/physics/units.ts';
import { waterSolubilityMolPerKgAtm } from '../../src/physics/water.ts';

const COLD = celsius(4);
const CO2 = kpaAbsolute(180);

const RANGES: readonly (readonly [string, (x: number) => number, number, number])[] = [
  ['altitude, m', (x) => airPressureAtAltitude(metres(x)), -500, 9000],
  ['beer temperature, °C', (x) => equilibriumVolumes(celsius(x), CO2), -3, 40],
  ['CO2 pressure, kPa', (x) => equilibriumVolumes(COLD, kpaAbsolute(x)), 0, 1000],
  ['carbonation, volumes', (x) => equilibriumPressure(volumes(x), COLD), 0, 10],
  ['carbonation as mass, volumes', (x) => gramsPerLitreOfVolumes(volumes(x)), 0, 20],
  ['the polynomial’s carbonation, volumes', (x) => polynomialPressure(volumes(x), COLD), 1.6, 3.35],
  ['the metric formula’s temperature, °C', (x) => metricGramsPerLitre(celsius(x), CO2), -1, 25],
  ['the metric formula’s pressure, kPa', (x) => metricGramsPerLitre(COLD, kpaAbsolute(x)), 50, 210],
  ['water temperature, °C', (x) => waterSolubilityMolPerKgAtm(celsius(x)), -1, 40],
  ['gas temperature, °C', (x) => secondVirialCm3PerMol(celsius(x)), -8, 46.85],
  ['gas pressure, kPa', (x) => gasMoles(kpaAbsolute(x), litres(1), COLD), 0, 1500],
  ['liquid CO2, °C', (x) => co2VapourPressure(celsius(x)), -50, 30.97],
  ['alcohol by volume, %', beerFreezingPoint, 0, 25],
  ['alcohol by weight, %', beerFreezingPointByWeight, 0, 21],
  ['depth, m', (x) => rayleighNumber(volumes(1), metres(x), beerFluid(COLD)), 0.01, 5],
  ['ratio of specific heats', chokedPressureRatio, 1.05, 1.7],
  ['Reynolds number', darcyFactor, 1e-9, 100_000],
  ['lift, m', (x) => liftPressure(metres(x), beerFluid(COLD)), -20, 20],
  ['carbonation to add, volumes', (x) => primingSugarGrams(volumes(x), litres(1), 'sucrose'), 0, 5],
  ['fermentation temperature, °C', (x) => residualVolumesTradeTable(celsius(x)), 0, 26.7],
];

test.each(RANGES)('%s', (_name, compute, low, high) => {
  const hair = (high - low) * 1e-9;
  expect(Number.isFinite(compute(low))).toBe(true);
  expect(Number.isFinite(compute(high))).toBe(true);
  expect(() => compute(low - hair)).toThrow(PhysicsRangeError);
  expect(() => compute(high + hair)).toThrow(PhysicsRangeError);
});
