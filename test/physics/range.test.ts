import { expect, test } from 'vitest';
import { finite, PhysicsRangeError, within } from '../../src/physics/range.ts';

test.each([-0.001, 10.001, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])(
  '%d is refused where 0 to 10 is allowed',
  (value) => {
    expect(() => within('depth', value, 'm', 0, 10)).toThrow(PhysicsRangeError);
  },
);

test.each([0, 3, 10])('%d is given back where 0 to 10 is allowed', (value) => {
  expect(within('depth', value, 'm', 0, 10)).toBe(value);
});

test('the error says what was wrong, how much, in which unit, and what is allowed', () => {
  const caught = (() => {
    try {
      return within('depth', 12, 'm', 0, 10);
    } catch (error) {
      return error;
    }
  })();
  expect(caught).toMatchObject({ quantity: 'depth', value: 12, unit: 'm', name: 'PhysicsRangeError' });
  expect(String(caught)).toContain('depth is 12 m; it must be between 0 and 10 m');
});

test('finite() refuses what is not a finite number and no more', () => {
  expect(finite('x', -1e300, '')).toBe(-1e300);
  expect(() => finite('x', Number.NaN, '')).toThrow(PhysicsRangeError);
  expect(() => finite('x', Number.POSITIVE_INFINITY, '')).toThrow(PhysicsRangeError);
});
