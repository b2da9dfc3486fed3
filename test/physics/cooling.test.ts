import { expect, test } from 'vitest';
import {
  coolingTimeConstant,
  kegHeatCapacity,
  kegSurface,
  relaxTemperature,
  timeConstantFromReadings,
  timeToTemperature,
} from '../../src/physics/cooling.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import { celsius, kilograms, litres, metres, seconds, squareMetres } from '../../src/physics/units.ts';

test('a full 19 L keg has about 80 kJ/K and 0.45 m²', () => {
  // The figures of the separately computed cooling table: 80.0 kJ/K, 0.453 m².
  expect(kegHeatCapacity(litres(19), kilograms(4.3))).toBeCloseTo(79.9, 0);
  expect(kegSurface(metres(0.215), metres(0.563))).toBeCloseTo(0.453, 2);
});

test('the surface is side and two ends', () => {
  expect(kegSurface(metres(1), metres(1))).toBeCloseTo(1.5 * Math.PI, 12);
  expect(kegSurface(metres(0.5), metres(2))).toBeCloseTo(1.125 * Math.PI, 12);
});

test('the time constant is heat capacity over heat transfer', () => {
  expect(coolingTimeConstant(80, squareMetres(0.5), 8)).toBeCloseTo(20_000, 9);
});

test('after one time constant 1/e of the difference is left', () => {
  const tau = coolingTimeConstant(80, squareMetres(0.453), 7);
  expect(relaxTemperature(celsius(20), celsius(2), tau, tau)).toBeCloseTo(2 + 18 / Math.E, 9);
});

test('a goal at the start takes no time', () => {
  expect(timeToTemperature(celsius(5), celsius(5), celsius(5), seconds(3600))).toBe(0);
});

test('half the difference is gone after ln 2 time constants, cooling or warming', () => {
  const tau = seconds(3600);
  expect(timeToTemperature(celsius(20), celsius(2), celsius(11), tau)).toBeCloseTo(3600 * Math.LN2, 9);
  expect(timeToTemperature(celsius(2), celsius(20), celsius(11), tau)).toBeCloseTo(3600 * Math.LN2, 9);
});

test.each([2, 1, 25])('a goal of %d °C is never reached from 20 in air of 2', (goal) => {
  expect(() => timeToTemperature(celsius(20), celsius(2), celsius(goal), seconds(3600))).toThrow(PhysicsRangeError);
});

test('readings that do not approach the surroundings give no time constant', () => {
  const between = seconds(3600);
  expect(() => timeConstantFromReadings(celsius(10), celsius(11), celsius(2), between)).toThrow(PhysicsRangeError);
  expect(() => timeConstantFromReadings(celsius(2), celsius(2), celsius(2), between)).toThrow(PhysicsRangeError);
});
