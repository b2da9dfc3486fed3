/**
 * Whatever is put in, nothing that is not a finite number comes out: each function answers with finite numbers or
 * refuses with its own error. Inputs mix sensible values with zero, negatives, huge and tiny numbers, NaN and infinity.
 */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import * as absorption from '../../src/physics/absorption.ts';
import * as atmosphere from '../../src/physics/atmosphere.ts';
import * as beer from '../../src/physics/beer.ts';
import * as carbonation from '../../src/physics/carbonation.ts';
import * as cross from '../../src/physics/carbonation-cross-check.ts';
import * as co2 from '../../src/physics/co2.ts';
import * as cooling from '../../src/physics/cooling.ts';
import * as cylinder from '../../src/physics/cylinder.ts';
import * as freezing from '../../src/physics/freezing.ts';
import * as gasUse from '../../src/physics/gas-use.ts';
import * as headspace from '../../src/physics/headspace.ts';
import * as leak from '../../src/physics/leak.ts';
import * as line from '../../src/physics/line.ts';
import * as priming from '../../src/physics/priming.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import * as sensor from '../../src/physics/sensor.ts';
import * as uncertainty from '../../src/physics/uncertainty.ts';
import * as units from '../../src/physics/units.ts';
import * as water from '../../src/physics/water.ts';

const MODULES: readonly Readonly<Record<string, unknown>>[] = [
  absorption,
  atmosphere,
  beer,
  carbonation,
  cross,
  co2,
  cooling,
  cylinder,
  freezing,
  gasUse,
  headspace,
  leak,
  line,
  priming,
  sensor,
  uncertainty,
  units,
  water,
];

type AnyFunction = (...values: unknown[]) => unknown;
type Shape = (n: readonly number[]) => unknown[];

/** How plain numbers become the arguments of functions that take more than numbers. */
const vessel = (n: readonly number[]) => ({ beer: n[0], headspace: n[1], temperature: n[2] });
const state = (n: readonly number[]) => ({ dissolved: n[3], co2: n[4] });
const deviation = (n: readonly number[]) => ({ temperatureC: n[3], gaugeKpa: n[4], airKpa: n[5] });
const SHAPES: Readonly<Record<string, Shape>> = {
  rayleighNumber: (n) => [n[0], n[1], absorption.beerFluid(units.celsius(n[2] ?? 0))],
  stillTransferVelocity: (n) => [n[0], n[1], absorption.beerFluid(units.celsius(n[2] ?? 0)), n[3]],
  stillAbsorption: (n) => [n[0], n[1], n[2], n[3], absorption.beerFluid(units.celsius(n[4] ?? 0))],
  stillAbsorptionTime: (n) => [n[0], n[1], n[2], n[3], absorption.beerFluid(units.celsius(n[4] ?? 0))],
  agitatedTransferVelocity: (n) => ['stone', n[0], n[1], absorption.beerFluid(units.celsius(n[2] ?? 0))],
  closedVesselMoles: (n) => [vessel(n), state(n)],
  closedEquilibrium: (n) => [vessel(n), n[3]],
  stepClosedVessel: (n) => [vessel(n), state(n), n[5], n[6], n[7]],
  bottlePressure: (n) => [{ carbonation: n[0], fillTemperature: n[1], headspaceRatio: n[2], headspaceCo2: n[3] }, n[4]],
  absorptionGap: (n) => [n[2], state(n)],
  lineFriction: (n) => [n[0], n[1], absorption.beerFluid(units.celsius(n[2] ?? 0))],
  liftPressure: (n) => [n[0], absorption.beerFluid(units.celsius(n[2] ?? 0))],
  lineFlow: (n) => [
    n[0],
    { bore: n[1], length: n[2], lift: n[3], fittings: n[4] },
    absorption.beerFluid(units.celsius(n[5] ?? 0)),
  ],
  co2PerGramOfSugar: () => ['sucrose'],
  primingSugarGrams: (n) => [n[0], n[1], 'dextrose'],
  plusMinusVolumes: (n) => [n[0], n[1], n[2], deviation(n)],
  plusMinusTrueVolumes: (n) => [n[0], n[1], n[2], deviation(n)],
  dimensionOf: () => ['Cel'],
  unitsOf: () => ['mass'],
  toBaseUnit: (n) => [n[0], '[degF]'],
  fromBaseUnit: (n) => [n[0], '[psi]'],
  convert: (n) => [n[0], 'bar', 'Pa'],
  pressureToAbsolute: (n) => [n[0], '[psi]', 'gauge', n[1]],
  leakKgPerSecond: (n) => [n[0], n[1], n[2], n[3]],
  fugacityCoefficient: (n) => [n[0], n[1], n[2]],
};

function isPlain(name: string, value: unknown): value is AnyFunction {
  if (typeof value !== 'function') return false;
  const text = String(value);
  return !text.startsWith('class') && !text.startsWith('(value) =>') && name !== '';
}

const FUNCTIONS = MODULES.flatMap((module) =>
  Object.entries(module).flatMap(([name, value]) => (isPlain(name, value) ? [[name, value] as const] : [])),
);

function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  if (typeof value === 'object' && value !== null) return Object.values(value).flatMap(numbersIn);
  return [];
}

const anyNumber = fc.oneof(
  fc.double({ min: -5, max: 45, noNaN: true }),
  fc.double({ min: 0, max: 1, noNaN: true }),
  fc.double({ min: 0, max: 1000, noNaN: true }),
  fc.constantFrom(0, -0, 1e-300, 5e-324, -1, 1e9, 1e300, 1.7e308, Number.NaN, Number.POSITIVE_INFINITY, -273.15),
);

test('the sweep reaches the whole library', () => {
  expect(FUNCTIONS.length).toBeGreaterThan(70);
});

test.each(FUNCTIONS)('%s never returns NaN or infinity', (name, call) => {
  const shape = SHAPES[name] ?? ((n: readonly number[]) => n.slice(0, call.length));
  fc.assert(
    fc.property(fc.array(anyNumber, { minLength: 8, maxLength: 8 }), (numbers) => {
      try {
        const answer = call(...shape(numbers));
        for (const number of numbersIn(answer))
          expect(Number.isFinite(number), `${name}(${numbers.join(', ')})`).toBe(true);
      } catch (error) {
        if (!(error instanceof PhysicsRangeError)) throw error;
      }
    }),
    { numRuns: 150 },
  );
});
