import { expect, test } from 'vitest';
import { fugacityCoefficient, secondVirialCm3PerMol } from '../../src/physics/co2.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import { celsius, kpaAbsolute } from '../../src/physics/units.ts';

test.each([0, 0.3, 1])('the fugacity coefficient with %d of the gas CO2 is typed as published', (ratio) => {
  // Source: Weiss 1974, eq. 9 and 11; R 82.057 cm³·atm/(mol·K).
  const t = 285.15;
  const delta = 57.7 - 0.118 * t;
  const exponent = (2 * (secondVirialCm3PerMol(celsius(12)) + 2 * (1 - ratio) ** 2 * delta)) / (82.057 * t);
  expect(Math.log(fugacityCoefficient(celsius(12), kpaAbsolute(202.65), ratio))).toBeCloseTo(exponent, 12);
});

test('more than all of the gas cannot be CO2', () => {
  expect(() => fugacityCoefficient(celsius(4), kpaAbsolute(100), 1.1)).toThrow(PhysicsRangeError);
});
