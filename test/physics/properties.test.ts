/** What must hold for any input in range, whatever the numbers. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { beerFluid, outgassing, stillAbsorption, stirredAbsorption } from '../../src/physics/absorption.ts';
import { airPressureAtAltitude, altitudeOfAirPressure } from '../../src/physics/atmosphere.ts';
import {
  co2PartialPressure,
  equilibriumPressure,
  equilibriumTemperature,
  equilibriumVolumes,
  totalPressureFor,
} from '../../src/physics/carbonation.ts';
import {
  metricGramsPerLitre,
  metricPressure,
  polynomialPressure,
  polynomialVolumes,
} from '../../src/physics/carbonation-cross-check.ts';
import { relaxTemperature, timeConstantFromReadings, timeToTemperature } from '../../src/physics/cooling.ts';
import { bottlePressure, closedVesselMoles, stepClosedVessel } from '../../src/physics/headspace.ts';
import { lineFlow, lineFriction } from '../../src/physics/line.ts';
import {
  BASE_UNIT,
  celsius,
  convert,
  type Dimension,
  kpaAbsolute,
  kpaGauge,
  litres,
  metres,
  metresPerSecond,
  seconds,
  squareMetres,
  toAbsolute,
  toGauge,
  unitsOf,
  volumes,
} from '../../src/physics/units.ts';

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true, noDefaultInfinity: true });
const beer = number(-3, 40).map(celsius);
const chilled = number(-1, 12).map(celsius);
// Below about half a kilopascal the formula's offset leaves nothing, so more of it may still be nothing.
const co2 = number(1, 1000).map(kpaAbsolute);
const usual = number(90, 400).map(kpaAbsolute);
const runs = { numRuns: 60 };

function closeBy(left: number, right: number, relative: number): void {
  expect(Math.abs(left - right)).toBeLessThanOrEqual(relative * Math.max(1, Math.abs(left), Math.abs(right)));
}

describe('units', () => {
  const codes = (Object.keys(BASE_UNIT) as Dimension[]).flatMap((dimension) =>
    unitsOf(dimension).flatMap((from) => unitsOf(dimension).map((to) => [from, to] as const)),
  );

  test('every conversion goes there and back to 1e-9', () => {
    fc.assert(
      fc.property(fc.constantFrom(...codes), number(-1e6, 1e6), ([from, to], value) => {
        const back = convert(convert(value, from, to), to, from);
        // An offset is lost to rounding in proportion to itself: 459.67 °F is not nothing.
        expect(Math.abs(back - value)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(value)));
      }),
      { numRuns: 500 },
    );
  });

  test('gauge and absolute pressure go there and back', () => {
    fc.assert(
      fc.property(number(-100, 1000).map(kpaGauge), number(60, 110).map(kpaAbsolute), (gauge, air) => {
        closeBy(toGauge(toAbsolute(gauge, air), air), gauge, 1e-12);
      }),
      runs,
    );
  });
});

describe('carbonation', () => {
  test('more pressure is more CO2, and so is colder beer', () => {
    fc.assert(
      fc.property(beer, beer, co2, number(0.1, 100), (one, other, pressure, more) => {
        if (pressure + more > 1000) return;
        const less = equilibriumVolumes(one, pressure);
        expect(equilibriumVolumes(one, kpaAbsolute(pressure + more))).toBeGreaterThan(less);
        const [cold, warm] = one < other ? [one, other] : [other, one];
        expect(equilibriumVolumes(cold, pressure)).toBeGreaterThanOrEqual(equilibriumVolumes(warm, pressure));
      }),
      runs,
    );
  });

  test('pressure and temperature for a carbonation give it back', () => {
    fc.assert(
      fc.property(beer, usual, (temperature, pressure) => {
        const held = equilibriumVolumes(temperature, pressure);
        closeBy(equilibriumPressure(held, temperature), pressure, 1e-9);
        // The formula flattens when warm, which costs digits of the temperature; half a degree from the edges is safe.
        if (temperature > -2.5 && temperature < 39.5)
          closeBy(equilibriumTemperature(held, pressure), temperature, 1e-9);
      }),
      runs,
    );
  });

  test('the cross-check formulas are inverses too', () => {
    fc.assert(
      fc.property(number(0, 15).map(celsius), number(1.7, 3.3).map(volumes), (temperature, held) => {
        const absolute = kpaAbsolute(polynomialPressure(held, temperature) + 101.325);
        closeBy(polynomialVolumes(temperature, absolute), held, 1e-9);
        const pressure = kpaAbsolute(100 + held * 30);
        closeBy(metricPressure(metricGramsPerLitre(temperature, pressure), temperature), pressure, 1e-9);
      }),
      runs,
    );
  });

  test('partial and total pressure go there and back, and air or other gas always lowers the CO2', () => {
    fc.assert(
      fc.property(usual, number(0, 80).map(kpaAbsolute), number(0.05, 1), (total, air, ratio) => {
        const partial = co2PartialPressure(total, air, ratio);
        closeBy(totalPressureFor(partial, air, ratio), total, 1e-9);
        expect(partial).toBeLessThanOrEqual(total);
      }),
      runs,
    );
  });

  test('altitude and air pressure go there and back', () => {
    fc.assert(
      fc.property(number(-400, 8900).map(metres), (altitude) => {
        closeBy(altitudeOfAirPressure(airPressureAtAltitude(altitude)), altitude, 1e-9);
      }),
      runs,
    );
  });
});

describe('rates', () => {
  const gap = fc.tuple(number(0, 2), number(0.01, 3));
  const time = number(0, 3e6);

  test('two half steps are one whole step', () => {
    fc.assert(
      fc.property(chilled, gap, number(0.1, 1.5).map(metres), time, (temperature, [low, more], depth, elapsed) => {
        const fluid = beerFluid(temperature);
        const start = volumes(low);
        const end = volumes(low + more);
        const half = seconds(elapsed / 2);
        const whole = seconds(elapsed);
        const still = stillAbsorption(stillAbsorption(start, end, depth, half, fluid), end, depth, half, fluid);
        closeBy(still, stillAbsorption(start, end, depth, whole, fluid), 1e-9);
        const k = metresPerSecond(2e-6);
        const stirred = stirredAbsorption(stirredAbsorption(start, end, depth, half, k), end, depth, half, k);
        closeBy(stirred, stirredAbsorption(start, end, depth, whole, k), 1e-9);
        const given = outgassing(outgassing(end, start, depth, half, k), start, depth, half, k);
        closeBy(given, outgassing(end, start, depth, whole, k), 1e-9);
        const surroundings = celsius(2);
        const cooled = relaxTemperature(temperature, surroundings, half, seconds(36_000));
        closeBy(
          relaxTemperature(cooled, surroundings, half, seconds(36_000)),
          relaxTemperature(temperature, surroundings, whole, seconds(36_000)),
          1e-9,
        );
      }),
      runs,
    );
  });

  test('nothing passes its end: neither carbonation nor temperature', () => {
    fc.assert(
      fc.property(chilled, gap, time, (temperature, [low, more], elapsed) => {
        const fluid = beerFluid(temperature);
        const depth = metres(0.5);
        const after = stillAbsorption(volumes(low), volumes(low + more), depth, seconds(elapsed), fluid);
        expect(after).toBeGreaterThanOrEqual(low - 1e-12);
        expect(after).toBeLessThanOrEqual(low + more + 1e-12);
        const left = outgassing(volumes(low + more), volumes(low), depth, seconds(elapsed), metresPerSecond(2e-6));
        expect(left).toBeGreaterThanOrEqual(low - 1e-12);
        expect(left).toBeLessThanOrEqual(low + more + 1e-12);
        const cooled = relaxTemperature(celsius(20), temperature, seconds(elapsed), seconds(36_000));
        expect(cooled).toBeGreaterThanOrEqual(temperature - 1e-12);
        expect(cooled).toBeLessThanOrEqual(20);
      }),
      runs,
    );
  });

  test('cooling: time to a temperature and the time constant come back', () => {
    fc.assert(
      fc.property(number(-2, 5), number(0.01, 0.95), number(3600, 2e5), (surroundings, share, tau) => {
        const air = celsius(surroundings);
        const goal = celsius(surroundings + share * (20 - surroundings));
        const elapsed = timeToTemperature(celsius(20), air, goal, seconds(tau));
        closeBy(relaxTemperature(celsius(20), air, elapsed, seconds(tau)), goal, 1e-9);
        closeBy(timeConstantFromReadings(celsius(20), goal, air, elapsed), tau, 1e-9);
      }),
      runs,
    );
  });
});

describe('a closed valve', () => {
  const vessel = fc.record({
    beer: number(0.5, 60).map(litres),
    headspace: number(0.05, 10).map(litres),
    temperature: chilled,
  });
  const state = fc.record({ dissolved: number(0, 3.5).map(volumes), co2: number(0, 350).map(kpaAbsolute) });
  const surface = squareMetres(0.0363);

  test('keeps its CO2 to 1e-9 in every step, and two half steps are one whole step', () => {
    fc.assert(
      fc.property(vessel, state, number(0, 1e7), number(0, 1e-4), (keg, before, elapsed, k) => {
        const velocity = metresPerSecond(k);
        const after = stepClosedVessel(keg, before, surface, velocity, seconds(elapsed));
        const all = closedVesselMoles(keg, before);
        expect(Math.abs(closedVesselMoles(keg, after) - all)).toBeLessThanOrEqual(1e-9 * all);
        const half = seconds(elapsed / 2);
        const twice = stepClosedVessel(
          keg,
          stepClosedVessel(keg, before, surface, velocity, half),
          surface,
          velocity,
          half,
        );
        closeBy(twice.dissolved, after.dissolved, 1e-8);
        closeBy(twice.co2, after.co2, 1e-8);
      }),
      {
        numRuns: 200,
        examples: [
          [
            { beer: litres(1), headspace: litres(1), temperature: celsius(4) },
            { dissolved: volumes(0), co2: kpaAbsolute(1e-3) },
            1e7,
            1e-5,
          ],
        ],
      },
    );
  });

  test('a bottle that warms has more pressure', () => {
    fc.assert(
      fc.property(number(1.5, 3), number(0, 0.1), number(-2, 30), number(0.5, 10), (held, ratio, cold, warmer) => {
        const bottle = {
          carbonation: volumes(held),
          fillTemperature: celsius(2),
          headspaceRatio: ratio,
          headspaceCo2: kpaAbsolute(101.325),
        };
        expect(bottlePressure(bottle, celsius(cold + warmer))).toBeGreaterThan(bottlePressure(bottle, celsius(cold)));
      }),
      runs,
    );
  });
});

test('a line: more pressure never gives less flow, and the flow takes the pressure that drives it', () => {
  const fluid = beerFluid(celsius(3));
  fc.assert(
    fc.property(number(5, 150), number(0, 20), number(4, 10), number(0.5, 6), (pressure, more, bore, length) => {
      const line = { bore: metres(bore / 1000), length: metres(length), lift: metres(0), fittings: 0 };
      if (pressure / length > 40 && bore > 7) return;
      const slow = lineFlow(kpaGauge(pressure), line, fluid);
      expect(lineFlow(kpaGauge(pressure + more), line, fluid).flow).toBeGreaterThanOrEqual(slow.flow);
      if (slow.regime === 'transition') return;
      closeBy(lineFriction(slow.flow, line.bore, fluid).kpaPerMetre * length, pressure, 1e-6);
    }),
    runs,
  );
});
