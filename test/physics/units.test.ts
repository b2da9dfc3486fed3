import { expect, test } from 'vitest';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import { convert, fromBaseUnit, toBaseUnit, UnitError } from '../../src/physics/units.ts';

test('an unknown unit is refused, with those that are known', () => {
  expect(() => toBaseUnit(1, 'psi')).toThrow(UnitError);
  expect(() => toBaseUnit(1, 'psi')).toThrow('[psi]');
});

test('two dimensions do not mix', () => {
  expect(() => convert(1, '[psi]', 'Cel')).toThrow('[psi] is a pressure, Cel a temperature');
});

test.each([Number.NaN, Number.POSITIVE_INFINITY, 1e308])(
  '%d does not travel on as something that is no number',
  (value) => {
    expect(() => toBaseUnit(value, 'bar')).toThrow(PhysicsRangeError);
    expect(() => fromBaseUnit(value, 'Pa')).toThrow(PhysicsRangeError);
  },
);
