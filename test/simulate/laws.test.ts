import { expect, test } from 'vitest';
import { equilibriumVolumes } from '../../src/physics/carbonation.ts';
import { celsius, kpaAbsolute } from '../../src/physics/units.ts';
import { diffusivity } from '../../src/simulate/beer-column.ts';
import { createSpace, cylinderPressurePa, orificeMolPerS, saturatedCo2 } from '../../src/simulate/gas.ts';
import { createRandom, createWords } from '../../src/simulate/random.ts';
import {
  chartVolumesOf,
  equilibriumMolPerM3,
  equilibriumPa,
  henryMolPerM3Pa,
  molPerM3OfChart,
  virialM3PerMol,
  volumesOf,
} from '../../src/simulate/solubility.ts';

/** Source: R. F. Weiss, Marine Chemistry 2, 203-215, 1974, table II at salinity 0, mol/(L·atm), as printed to five digits. */
test.each([
  [0, 0.07758],
  [2, 0.07174],
  [3, 0.06905],
  [6, 0.06178],
  [10, 0.05366],
  [16, 0.04412],
  [22, 0.03691],
  [30, 0.02983],
])('CO2 in water at %d °C dissolves as Weiss tabulated', (waterC, molPerLitreAtm) => {
  expect(Math.abs((henryMolPerM3Pa(waterC, 1) * 101325) / 1000 - molPerLitreAtm)).toBeLessThan(1e-5);
});

/** Source: J. H. Dymond, E. B. Smith, The virial coefficients of pure gases, from memory: −149 cm3/mol at 0 °C, −128 at 20 °C; Weiss's fit within 5. */
test('the second virial coefficient of CO2 is the published one', () => {
  expect(Math.abs(virialM3PerMol(0) * 1e6 + 149)).toBeLessThan(8);
  expect(Math.abs(virialM3PerMol(20) * 1e6 + 128)).toBeLessThan(8);
});

/** Source: tables for R744 from the NIST Chemistry WebBook (2007), kPa absolute; 25 °C from the reference equation of state. */
test.each([
  [-20, 1969.6],
  [0, 3485.1],
  [2, 3673.3],
  [25, 6434.2],
])('liquid CO2 at %d °C has its tabulated vapour pressure', (cylinderC, kpa) => {
  expect(Math.abs((saturatedCo2(cylinderC)?.pressurePa ?? 0) / 1000 / kpa - 1)).toBeLessThan(1e-3);
});

test('a cylinder holds its pressure while liquid is left, then loses it with the gas', () => {
  const full = cylinderPressurePa(2, 0.003, 15);
  expect(cylinderPressurePa(0.8, 0.003, 15)).toBe(full);
  const sixth = cylinderPressurePa(0.1, 0.003, 15);
  expect(sixth).toBeLessThan(0.4 * full);
  expect(cylinderPressurePa(0.05, 0.003, 15)).toBeLessThan(0.6 * sixth);
});

/** Source: B. Jähne et al., J. Geophys. Res. 92, 10767, 1987, as in the CRC Handbook: 1.26e-9 m2/s at 10 °C in water. */
test('CO2 diffuses in the simulated beer somewhat more slowly than in water', () => {
  expect(diffusivity(10) * 1.3).toBeGreaterThan(1.2e-9);
  expect(diffusivity(10) * 1.3).toBeLessThan(1.32e-9);
});

/** Choked flow of CO2 by hand: 0.6·A·p·sqrt(1.3·M/(R·T))·(2/2.3)^(2.3/0.6) / M at 275.15 K and 200 kPa through 1 mm2. */
test('a hole lets through what the nozzle formula gives by hand', () => {
  const space = createSpace(0.001, 2, false);
  space.co2Mol = 0.0874;
  const byHand =
    (0.6 * 1e-6 * 200_000 * Math.sqrt((1.3 * 0.0440095) / (8.31446 * 275.15)) * (2 / 2.3) ** (2.3 / 0.6)) / 0.0440095;
  expect(orificeMolPerS(1e-6, space, 200_000, 100_000) / byHand).toBeCloseTo(1, 6);
  expect(orificeMolPerS(1e-6, space, 100_000, 100_000)).toBe(0);
});

test('content and its pressure are inverse to each other, and chart volumes follow the chart', () => {
  for (const beerC of [-1, 3, 12, 20]) {
    for (const kpa of [90, 175, 320]) {
      const mol = equilibriumMolPerM3(beerC, kpa * 1000, 0.95);
      expect(equilibriumPa(mol, beerC, 0.95) / 1000).toBeCloseTo(kpa, 4);
      const charted = equilibriumVolumes(celsius(beerC), kpaAbsolute(kpa));
      expect(chartVolumesOf(mol, beerC, 0.95)).toBeCloseTo(charted, 5);
      expect(molPerM3OfChart(charted, beerC, 0.95) / mol).toBeCloseTo(1, 5);
    }
  }
});

/** Beer dissolves a few per cent less than water; the chart's law and Weiss's differ by no more than the beer's factor explains. */
test('a beer of middling factor holds what the chart says within four per cent', () => {
  for (const beerC of [0, 4, 8, 12]) {
    const held = volumesOf(equilibriumMolPerM3(beerC, 170_000, 0.945));
    expect(Math.abs(held / equilibriumVolumes(celsius(beerC), kpaAbsolute(170)) - 1)).toBeLessThan(0.04);
  }
});

/** Source: output of the authors' C code (version 1.1) for the state 1, 2, 3, 4, as kept in the tests of public ports of it. */
test('the generator gives the published words', () => {
  const words = createWords([1, 2, 3, 4]);
  const published = [
    11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804,
  ];
  expect(published.map(() => words())).toEqual(published);
});

test('random numbers have the spread they claim and streams differ', () => {
  const random = createRandom(7, 'a');
  const values = Array.from({ length: 20_000 }, () => random.normal(3, 2));
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const sd = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length);
  expect(Math.abs(mean - 3)).toBeLessThan(0.06);
  expect(Math.abs(sd - 2)).toBeLessThan(0.05);
  expect(createRandom(7, 'b').next()).not.toBe(createRandom(7, 'a').next());
  expect(createRandom(8, 'a').next()).not.toBe(createRandom(7, 'a').next());
});
