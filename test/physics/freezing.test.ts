import { expect, test } from 'vitest';
import { beerFreezingPoint, beerFreezingPointByWeight, freezingWarning } from '../../src/physics/freezing.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import { celsius } from '../../src/physics/units.ts';

test('a drink without alcohol is taken to freeze at 0 °C', () => {
  expect(beerFreezingPoint(0)).toBe(0);
  expect(Object.is(beerFreezingPointByWeight(0), 0)).toBe(true);
});

test('the warning comes before the beer can freeze: probe and formula both at their worst', () => {
  // Source: probe ±0.5 °C (data sheet of 1-Wire thermometers); tables agree within 0.15 °C up to 8 % by weight.
  const point = beerFreezingPoint(5);
  expect(freezingWarning(point)).toBeCloseTo(point + 0.65, 12);
  expect(freezingWarning(point, 0.1)).toBeCloseTo(point + 0.25, 12);
});

test('strong beer gets a wider margin, from 8 % by weight on', () => {
  expect(freezingWarning(beerFreezingPointByWeight(8)) - beerFreezingPointByWeight(8)).toBeCloseTo(0.65, 12);
  expect(freezingWarning(beerFreezingPointByWeight(8.03)) - beerFreezingPointByWeight(8.03)).toBeCloseTo(1, 12);
});

test.each([-1, 26, Number.NaN])('%d %% by volume is refused', (abv) => {
  expect(() => beerFreezingPoint(abv)).toThrow(PhysicsRangeError);
  expect(() => beerFreezingPointByWeight(abv)).toThrow(PhysicsRangeError);
});

test('a freezing point above 0 °C is refused', () => {
  expect(() => freezingWarning(celsius(1))).toThrow(PhysicsRangeError);
});
