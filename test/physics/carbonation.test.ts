import { expect, test } from 'vitest';
import { airPressureAtAltitude } from '../../src/physics/atmosphere.ts';
import {
  co2PartialPressure,
  equilibriumPressure,
  equilibriumTemperature,
  equilibriumVolumes,
} from '../../src/physics/carbonation.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import { celsius, convert, kpaAbsolute, metres, volumes } from '../../src/physics/units.ts';

/** Source: the trade's classic carbonation chart (BrewingTechniques 2.1, "Table I"), row 38 °F. */
test.each([
  [10, 2.38],
  [12, 2.57],
])('beer at 38 °F under %d psi at sea level holds %d volumes in the end', (psi, charted) => {
  const co2 = kpaAbsolute(convert(psi, '[psi]', 'kPa') + airPressureAtAltitude(metres(0)));
  const computed = equilibriumVolumes(celsius(convert(38, '[degF]', 'Cel')), co2);
  expect(Math.abs(computed - charted)).toBeLessThan(0.05);
});

test('the pressure for a carbonation gives that carbonation back', () => {
  const pressure = equilibriumPressure(volumes(2.4), celsius(3));
  expect(equilibriumVolumes(celsius(3), pressure)).toBeCloseTo(2.4, 12);
});

test('the formula is typed as published, in psi and °F', () => {
  // Source: V = P (0.01821 + 0.090115 exp(−(T − 32)/43.11)) − 0.003342, as attributed to A. J. deLange.
  const published = (psi: number, fahrenheit: number) =>
    psi * (0.01821 + 0.090115 * Math.exp(-(fahrenheit - 32) / 43.11)) - 0.003342;
  for (const [psi, fahrenheit] of [
    [15, 30],
    [26, 38],
    [60, 77],
  ] as const) {
    const computed = equilibriumVolumes(celsius((fahrenheit - 32) / 1.8), kpaAbsolute(psi * 6.894757293168));
    expect(computed).toBeCloseTo(published(psi, fahrenheit), 10);
  }
});

test('half the gas in the headspace being air halves the CO2 pressure', () => {
  expect(co2PartialPressure(kpaAbsolute(200), kpaAbsolute(100), 1)).toBe(100);
});

test('mixed gas counts by its share of the absolute pressure', () => {
  expect(co2PartialPressure(kpaAbsolute(200), kpaAbsolute(0), 0.6)).toBeCloseTo(120, 12);
});

test('more air than pressure cannot be', () => {
  expect(() => co2PartialPressure(kpaAbsolute(90), kpaAbsolute(100), 1)).toThrow(PhysicsRangeError);
});

test('a carbonation that no temperature holds at this pressure is refused, warm and cold', () => {
  expect(() => equilibriumTemperature(volumes(0.1), kpaAbsolute(400))).toThrow(PhysicsRangeError);
  expect(() => equilibriumTemperature(volumes(5), kpaAbsolute(100))).toThrow(PhysicsRangeError);
  expect(() => equilibriumTemperature(volumes(2), kpaAbsolute(0))).toThrow(PhysicsRangeError);
});
