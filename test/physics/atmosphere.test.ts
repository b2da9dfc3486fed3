import { expect, test } from 'vitest';
import { localAir } from '../../src/physics/atmosphere.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import { kpaAbsolute, metres } from '../../src/physics/units.ts';

test('a barometer comes before the altitude', () => {
  expect(localAir(kpaAbsolute(98), metres(1000))).toEqual({ ambient: 98, from: 'barometer' });
});

test('the altitude comes before the assumption', () => {
  const air = localAir(null, metres(1000));
  expect(air.from).toBe('altitude');
  // Source: U.S. Standard Atmosphere 1976, 1,000 m: 89.875 kPa, from memory.
  expect(air.ambient).toBeCloseTo(89.875, 2);
});

test('with neither, sea level is assumed and said to be', () => {
  expect(localAir(null, null)).toEqual({ ambient: 101.325, from: 'assumed-sea-level' });
});

test('a barometer that cannot be is refused: 1013 entered as kPa', () => {
  expect(() => localAir(kpaAbsolute(1013), null)).toThrow(PhysicsRangeError);
});
