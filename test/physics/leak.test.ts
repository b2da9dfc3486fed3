import { expect, test } from 'vitest';
import { chokedPressureRatio, leakKgPerSecond } from '../../src/physics/leak.ts';
import { celsius, kpaAbsolute, squareMetres } from '../../src/physics/units.ts';

const HOLE = squareMetres(1e-9);
const COOL = celsius(4);
const flow = (inside: number, outside: number) =>
  leakKgPerSecond(kpaAbsolute(inside), kpaAbsolute(outside), HOLE, COOL);

test('nothing leaks inwards or between equal pressures', () => {
  expect(flow(100, 100)).toBe(0);
  expect(flow(90, 100)).toBe(0);
});

test('choked flow does not depend on the outside, unchoked flow does', () => {
  expect(flow(300, 20)).toBe(flow(300, 100));
  expect(flow(150, 130)).toBeLessThan(flow(150, 100));
});

test('the two branches meet at the critical ratio', () => {
  const critical = 300 * chokedPressureRatio(1.3);
  expect(flow(300, critical * 1.0001)).toBeCloseTo(flow(300, critical * 0.9999), 14);
});

test('a small pressure difference flows as Bernoulli has it', () => {
  // Incompressible limit: ṁ = Cd A sqrt(2 ρ Δp), ρ = p M/(R T).
  const density = (101_325 * 0.0440095) / (8.314462618 * 277.15);
  const expected = 0.61 * HOLE * Math.sqrt(2 * density * 100);
  expect(flow(101.425, 101.325) / expected).toBeCloseTo(1, 2);
});
