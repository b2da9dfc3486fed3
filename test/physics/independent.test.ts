/**
 * Checks by general-purpose libraries that know nothing of this project: a UCUM library of a medical-terminology
 * institute for units, a psychrometrics library after the ASHRAE handbook for air and water vapour, and Hairer's ODEX
 * for everything integrated in closed form.
 */
import { describe, expect, test } from 'vitest';
import {
  beerFluid,
  outgassing,
  outgassingFactor,
  stillAbsorption,
  stillTransferVelocity,
  stirredAbsorption,
} from '../../src/physics/absorption.ts';
import { airPressureAtAltitude } from '../../src/physics/atmosphere.ts';
import { equilibriumVolumes } from '../../src/physics/carbonation.ts';
import { secondVirialCm3PerMol } from '../../src/physics/co2.ts';
import { relaxTemperature } from '../../src/physics/cooling.ts';
import { closedEquilibrium, closedVesselMoles, stepClosedVessel } from '../../src/physics/headspace.ts';
import {
  BASE_UNIT,
  celsius,
  convert,
  type Dimension,
  dimensionOf,
  kpaAbsolute,
  litres,
  metres,
  metresPerSecond,
  seconds,
  squareMetres,
  toKelvin,
  unitsOf,
  volumes,
} from '../../src/physics/units.ts';
import { waterVapourPressure } from '../../src/physics/water.ts';
import { psychrometrics, Solver, ucum } from './general-libraries.ts';

const DIMENSIONS = Object.keys(BASE_UNIT) as Dimension[];

describe('a UCUM library', () => {
  const codes = DIMENSIONS.flatMap((dimension) =>
    unitsOf(dimension).map((code) => [code, BASE_UNIT[dimension]] as const),
  );

  test.each(codes)('converts %s to %s as we do', (code, base) => {
    for (const value of [-20, 0, 1, 37.5, 4000]) {
      const theirs = ucum.convertUnitTo(code, value, base).toVal;
      // UCUM defines m[Hg] as 133.322 kPa; ours has the further digits of the handbook.
      const relative = code === 'mm[Hg]' ? 3e-6 : 1e-12;
      expect(theirs).not.toBeNull();
      expect(Math.abs(convert(value, code, base) - Number(theirs))).toBeLessThanOrEqual(
        relative * Math.max(300, Math.abs(Number(theirs))),
      );
    }
  });

  test('knows our codes in the dimension we give them, and refuses to mix dimensions', () => {
    for (const dimension of DIMENSIONS) {
      for (const code of unitsOf(dimension)) {
        expect(dimensionOf(code)).toBe(dimension);
        for (const other of DIMENSIONS.filter((candidate) => candidate !== dimension)) {
          expect(ucum.convertUnitTo(code, 1, BASE_UNIT[other]).status).not.toBe('succeeded');
        }
      }
    }
    expect(dimensionOf('furlong')).toBeNull();
  });

  test('has the same kelvin', () => {
    expect(toKelvin(celsius(4.2))).toBeCloseTo(Number(ucum.convertUnitTo('Cel', 4.2, 'K').toVal), 10);
  });
});

describe('a psychrometrics library', () => {
  psychrometrics.SetUnitSystem(psychrometrics.SI);

  test.each([-400, 0, 250, 1000, 2000, 3000, 5000, 9000])('has the same air pressure at %d m to 10 Pa', (altitude) => {
    const theirs = psychrometrics.GetStandardAtmPressure(altitude) / 1000;
    expect(Math.abs(airPressureAtAltitude(metres(altitude)) - theirs)).toBeLessThan(0.01);
  });

  test.each([0.01, 2, 5, 10, 20, 30, 40])('has the same water vapour pressure at %d °C to 0.1 %%', (temperature) => {
    // Hyland and Wexler 1983 there, Wagner and Pruss 1993 here.
    const theirs = psychrometrics.GetSatVapPres(temperature) / 1000;
    expect(Math.abs(waterVapourPressure(celsius(temperature)) / theirs - 1)).toBeLessThan(0.001);
  });
});

const HOUR = 3600;

/** `y` after some hours by the ODE solver; the derivative is per second. */
function integrate(derivative: (y: number) => number, start: number, hours: number): number {
  const solver = new Solver(1);
  solver.absoluteTolerance = 1e-11;
  solver.relativeTolerance = 1e-11;
  return solver.solve((_t, [y = Number.NaN]) => [derivative(y) * HOUR], 0, [start], hours).y[0] ?? Number.NaN;
}

describe('an ODE solver, for a keg at constant pressure,', () => {
  const DEPTH = metres(0.52);
  const FLUID = beerFluid(celsius(4));

  test('takes up gas into a still keg as the closed form does', () => {
    const law = (held: number) => {
      const gap = volumes(Math.max(0, 2.5 - held));
      return (stillTransferVelocity(gap, DEPTH, FLUID) * gap) / DEPTH;
    };
    for (const hours of [6, 48, 240]) {
      const closed = stillAbsorption(volumes(0.85), volumes(2.5), DEPTH, seconds(hours * HOUR), FLUID);
      expect(integrate(law, 0.85, hours)).toBeCloseTo(closed, 7);
    }
  });

  test('takes up gas into a stirred keg as the closed form does', () => {
    const k = metresPerSecond(3e-5);
    const closed = stirredAbsorption(volumes(0.85), volumes(2.5), DEPTH, seconds(5 * HOUR), k);
    expect(integrate((held) => (k * (2.5 - held)) / DEPTH, 0.85, 5)).toBeCloseTo(closed, 8);
  });

  test('gives off gas through all three pieces as the closed form does', () => {
    const k = metresPerSecond(2e-6);
    const law = (held: number) => {
      const gap = volumes(Math.max(0, held - 1));
      return (-k * outgassingFactor(gap) * gap) / DEPTH;
    };
    for (const hours of [1, 10, 100, 400]) {
      const closed = outgassing(volumes(4), volumes(1), DEPTH, seconds(hours * HOUR), k);
      expect(integrate(law, 4, hours)).toBeCloseTo(closed, 8);
    }
  });

  test('cools as the closed form does', () => {
    const closed = relaxTemperature(celsius(20), celsius(2), seconds(12 * HOUR), seconds(9 * HOUR));
    expect(integrate((t) => (2 - t) / (9 * HOUR), 20, 12)).toBeCloseTo(closed, 8);
  });
});

describe('an ODE solver, for a closed keg,', () => {
  test.each([
    ['a full keg', 18, 1],
    ['a nearly empty keg', 2, 17],
  ])(
    'comes to the end of %s at the rate of the step, to one part in 10,000 of what is left',
    (_name, beer, headspace) => {
      // Near its end the solver's law and the step's are the same line.
      const keg = { beer: litres(beer), headspace: litres(headspace), temperature: celsius(4) };
      const end = closedEquilibrium(keg, closedVesselMoles(keg, { dissolved: volumes(2.2), co2: kpaAbsolute(190) }));
      const total = closedVesselMoles(keg, end);
      const virialL = secondVirialCm3PerMol(keg.temperature) / 1000;
      const law = (dissolved: number) => {
        const gas = total - (dissolved * keg.beer) / 22.263;
        const pressure = (gas * 8.314462618 * 277.15) / (keg.headspace - gas * virialL);
        return (2e-6 * 0.0363 * 1000 * (equilibriumVolumes(keg.temperature, kpaAbsolute(pressure)) - dissolved)) / beer;
      };
      const nudge = 1e-5;
      const start = volumes(end.dissolved - nudge);
      const gas = total - (start * beer) / 22.263;
      const co2 = kpaAbsolute((gas * 8.314462618 * 277.15) / (headspace - gas * virialL));
      const hours = 5;
      const after = stepClosedVessel(
        keg,
        { dissolved: start, co2 },
        squareMetres(0.0363),
        metresPerSecond(2e-6),
        seconds(hours * HOUR),
      );
      const theirs = integrate(law, start, hours);
      expect(Math.abs(after.dissolved - theirs)).toBeLessThan(1e-4 * nudge);
      expect(end.dissolved - after.dissolved).toBeLessThan(0.9 * nudge);
    },
  );

  test('lets a closed keg’s pressure fall as the step does, to 1 % of the fall', () => {
    // The step is linear about its end; the solver keeps the gas law and the solubility as they are.
    const keg = { beer: litres(18), headspace: litres(1), temperature: celsius(4) };
    const before = { dissolved: volumes(1.8), co2: kpaAbsolute(190) };
    const area = squareMetres(0.0363);
    const k = metresPerSecond(2e-6);
    const total = closedVesselMoles(keg, before);
    const pressureAt = (dissolved: number) => {
      const gas = total - (dissolved * keg.beer) / 22.263;
      const virialL = -0.1435;
      return (gas * 8.314462618 * 277.15) / (keg.headspace - gas * virialL);
    };
    const law = (dissolved: number) => {
      const wanted = equilibriumVolumes(keg.temperature, kpaAbsolute(pressureAt(dissolved)));
      return (k * area * 1000 * (wanted - dissolved)) / keg.beer;
    };
    for (const hours of [0.5, 2, 8, 24]) {
      const after = stepClosedVessel(keg, before, area, k, seconds(hours * HOUR));
      const theirs = pressureAt(integrate(law, 1.8, hours));
      expect(Math.abs(after.co2 - theirs)).toBeLessThan(0.01 * (190 - theirs));
    }
  });
});
