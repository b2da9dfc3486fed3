import { expect, test } from 'vitest';
import {
  equilibriumVolumes,
  solubilityChangePerCelsius,
  solubilityVolumesPerKpa,
} from '../../src/physics/carbonation.ts';
import { PhysicsRangeError } from '../../src/physics/range.ts';
import {
  AIR_PRESSURE_SD_KPA,
  BEER_SD_RATIO,
  CHART_SD_VOLUMES,
  equilibriumSensitivity,
  plusMinusTrueVolumes,
  plusMinusVolumes,
  SD_PER_90,
  THERMOMETER_SD_C,
  TRANSDUCER_SD_KPA,
} from '../../src/physics/uncertainty.ts';
import { celsius, kpaAbsolute } from '../../src/physics/units.ts';

const BEER = celsius(3);
const CO2 = kpaAbsolute(180);
const SD = { temperatureC: THERMOMETER_SD_C, gaugeKpa: TRANSDUCER_SD_KPA, airKpa: AIR_PRESSURE_SD_KPA.altitude };

test('sensitivities are the slopes of the equilibrium', () => {
  const by = equilibriumSensitivity(BEER, CO2);
  const step = 1e-4;
  const perC = (equilibriumVolumes(celsius(3 + step), CO2) - equilibriumVolumes(celsius(3 - step), CO2)) / (2 * step);
  const perKpa =
    (equilibriumVolumes(BEER, kpaAbsolute(180 + step)) - equilibriumVolumes(BEER, kpaAbsolute(180 - step))) /
    (2 * step);
  expect(by.perCelsius).toBeCloseTo(perC, 8);
  expect(by.perKpa).toBeCloseTo(perKpa, 8);
  expect(solubilityChangePerCelsius(BEER) * CO2).toBeCloseTo(perC, 8);
});

/** A fixed sequence of standard normal numbers (Box and Muller on a small generator), so the test never differs. */
function* normals(): Generator<number> {
  let state = 20_240_617;
  const uniform = () => {
    // Park and Miller's multiplicative generator: small, and good enough for a coverage to 1 %.
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
  for (;;) yield Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}

test('nine in ten of a Monte Carlo of the same errors lie within the interval', () => {
  const source = normals();
  const draw = () => source.next().value ?? 0;
  const centre = equilibriumVolumes(BEER, CO2);
  const half = plusMinusVolumes(BEER, CO2, 1, SD);
  let inside = 0;
  const runs = 20_000;
  for (let run = 0; run < runs; run += 1) {
    const temperature = celsius(3 + SD.temperatureC * draw());
    const pressure = kpaAbsolute(180 + SD.gaugeKpa * draw() + SD.airKpa * draw());
    const value = equilibriumVolumes(temperature, pressure) + CHART_SD_VOLUMES * draw();
    if (Math.abs(value - centre) <= half) inside += 1;
  }
  expect(inside / runs).toBeGreaterThan(0.885);
  expect(inside / runs).toBeLessThan(0.915);
});

test('the factor to nine in ten is the normal distribution’s', () => {
  // Source: 95 % quantile of the normal distribution, 1.644854, from memory.
  expect(SD_PER_90).toBeCloseTo(1.644854, 3);
});

test('an altitude that nobody set widens the interval, a barometer narrows it', () => {
  const half = (airKpa: number) => plusMinusVolumes(BEER, CO2, 1, { ...SD, airKpa });
  expect(half(AIR_PRESSURE_SD_KPA['assumed-sea-level'])).toBeGreaterThan(1.3 * half(AIR_PRESSURE_SD_KPA.altitude));
  expect(half(AIR_PRESSURE_SD_KPA.barometer)).toBeLessThan(half(AIR_PRESSURE_SD_KPA.altitude));
});

test('with perfect probes only the chart itself is left', () => {
  const none = { temperatureC: 0, gaugeKpa: 0, airKpa: 0 };
  expect(plusMinusVolumes(BEER, CO2, 1, none)).toBeCloseTo(SD_PER_90 * CHART_SD_VOLUMES, 12);
});

test('a share of CO2 takes its share of the pressure error', () => {
  const pressureOnly = { temperatureC: 0, gaugeKpa: 10, airKpa: 0 };
  const half = plusMinusVolumes(BEER, CO2, 0.6, pressureOnly);
  const expected = Math.hypot(0.6 * 10 * solubilityVolumesPerKpa(BEER), CHART_SD_VOLUMES);
  expect(half).toBeCloseTo(SD_PER_90 * expected, 12);
});

test('what is truly in this beer is less sure than the chart volumes, by its own solubility', () => {
  const chart = plusMinusVolumes(BEER, CO2, 1, SD);
  const truly = plusMinusTrueVolumes(BEER, CO2, 1, SD);
  expect(truly ** 2 - chart ** 2).toBeCloseTo((SD_PER_90 * BEER_SD_RATIO * equilibriumVolumes(BEER, CO2)) ** 2, 12);
});

test('impossible deviations are refused', () => {
  expect(() => plusMinusVolumes(BEER, CO2, 1, { ...SD, temperatureC: -1 })).toThrow(PhysicsRangeError);
  expect(() => plusMinusVolumes(BEER, CO2, 1, { ...SD, gaugeKpa: Number.NaN })).toThrow(PhysicsRangeError);
  expect(() => equilibriumSensitivity(BEER, kpaAbsolute(-1))).toThrow(PhysicsRangeError);
});
