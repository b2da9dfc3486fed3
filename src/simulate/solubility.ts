import { equilibriumVolumes } from '../physics/carbonation.ts';
import { celsius, kpaAbsolute } from '../physics/units.ts';

/**
 * Dissolved CO2 of the simulated beer: CO2 in water after Weiss, times a factor of the beer. On purpose another law than
 * the chart's in src/physics, so that the two can disagree as a real beer and a chart do.
 */

export const ZERO_CELSIUS_K = 273.15;
/** @source CODATA 2018, molar gas constant */
export const GAS_CONSTANT = 8.31446;
const PA_PER_ATM = 101325;
/** Real molar volume of CO2 at 0 °C and 101.325 kPa. @source booklet of an industrial gas supplier: 22.263 m3/kmol */
export const LITRES_PER_MOL = 22.263;

/**
 * mol of CO2 per m3 of beer and Pa of CO2 fugacity. Range of the source −1 to 40 °C; used a little below.
 * @source R. F. Weiss, Marine Chemistry 2, 203-215, 1974, eq. 12 and table II (mol/(L·atm)), salinity 0
 */
export function henryMolPerM3Pa(beerC: number, beerFactor: number): number {
  const hundreds = (beerC + ZERO_CELSIUS_K) / 100;
  const lnMolPerLitreAtm = -58.0931 + 90.5069 / hundreds + 22.294 * Math.log(hundreds);
  return (beerFactor * Math.exp(lnMolPerLitreAtm) * 1000) / PA_PER_ATM;
}

/** Second virial coefficient of CO2 (m3/mol, 265 to 320 K). @source R. F. Weiss 1974, eq. 6 */
export function virialM3PerMol(gasC: number): number {
  const k = gasC + ZERO_CELSIUS_K;
  return (-1636.75 + 12.0408 * k - 3.27957e-2 * k * k + 3.16528e-5 * k * k * k) * 1e-6;
}

/** Fugacity per partial pressure of CO2. @source R. F. Weiss 1974, eq. 9, nearly pure CO2 */
function fugacityRatio(gasC: number, co2Pa: number): number {
  return Math.exp((co2Pa * virialM3PerMol(gasC)) / (GAS_CONSTANT * (gasC + ZERO_CELSIUS_K)));
}

/** What the beer holds in equilibrium with a CO2 partial pressure (mol/m3). */
export function equilibriumMolPerM3(beerC: number, co2Pa: number, beerFactor: number): number {
  return henryMolPerM3Pa(beerC, beerFactor) * co2Pa * fugacityRatio(beerC, co2Pa);
}

/** The CO2 partial pressure at which the beer would be in equilibrium (Pa). Inverse of `equilibriumMolPerM3`. */
export function equilibriumPa(molPerM3: number, beerC: number, beerFactor: number): number {
  const fugacityPa = molPerM3 / henryMolPerM3Pa(beerC, beerFactor);
  let co2Pa = fugacityPa;
  // The ratio is within 5 % of one, so that each round gains more than a digit.
  for (let round = 0; round < 8; round += 1) co2Pa = fugacityPa / fugacityRatio(beerC, co2Pa);
  return co2Pa;
}

/** Litres of CO2 at 0 °C and 101.325 kPa per litre of beer. */
export const volumesOf = (molPerM3: number): number => (molPerM3 * LITRES_PER_MOL) / 1000;
export const molPerM3Of = (volumes: number): number => (volumes * 1000) / LITRES_PER_MOL;

/**
 * The volumes that the published chart would give for this beer: read at its temperature and at the CO2 pressure at which
 * it would neither take up nor give off gas. Temperatures and pressures beyond the chart's law are held at its ends.
 */
export function chartVolumesOf(molPerM3: number, beerC: number, beerFactor: number): number {
  const kpa = equilibriumPa(molPerM3, beerC, beerFactor) / 1000;
  return equilibriumVolumes(celsius(Math.min(40, Math.max(-3, beerC))), kpaAbsolute(Math.min(1000, Math.max(0, kpa))));
}

/** Inverse of `chartVolumesOf` within 1e-6 volumes (mol/m3): both laws rise steadily, so halving finds it. */
export function molPerM3OfChart(chartVolumes: number, beerC: number, beerFactor: number): number {
  let low = 0;
  let high = molPerM3Of(8);
  for (let round = 0; round < 40; round += 1) {
    const middle = (low + high) / 2;
    if (chartVolumesOf(middle, beerC, beerFactor) < chartVolumes) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Water vapour over beer (Pa). @source O. A. Alduchov, R. E. Eskridge, J. Appl. Meteor. 35, 601, 1996: Magnus form */
export function waterVapourPa(gasC: number): number {
  return 610.94 * Math.exp((17.625 * gasC) / (gasC + 243.04));
}
