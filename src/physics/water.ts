/** CO2 in pure water: a cross-check from outside the family of beer charts. Beer holds 4 to 6 % less. */
import { CO2_L_PER_MOL, fugacityCoefficient } from './co2.ts';
import { within } from './range.ts';
import {
  type Celsius,
  type KilogramsPerCubicMetre,
  type KpaAbsolute,
  kilogramsPerCubicMetre,
  kpaAbsolute,
  STANDARD_ATMOSPHERE_KPA,
  toKelvin,
  type Volumes,
  volumes,
} from './units.ts';

/** Moles of water in a kilogram. @source molar mass 18.01528 g/mol, from memory */
const WATER_MOL_PER_KG = 1000 / 18.01528;

function weiss(temperature: Celsius, a1: number, a2: number, a3: number): number {
  const hundreds = toKelvin(within('water temperature', temperature, 'Cel', -1, 40)) / 100;
  return Math.exp(a1 + a2 / hundreds + a3 * Math.log(hundreds));
}

/**
 * Solubility of CO2 in pure water, K0 (mol per kg of water and atm of FUGACITY; −1 to 40 °C, salinity 0).
 * @source Weiss 1974, Marine Chemistry 2, table III: −60.2409, 93.4517, 23.3585
 */
export function waterSolubilityMolPerKgAtm(temperature: Celsius): number {
  return weiss(temperature, -60.2409, 93.4517, 23.3585);
}

/**
 * Solubility of CO2 in pure water, K0 (mol per litre of water and atm of FUGACITY; −1 to 40 °C, salinity 0).
 * @source Weiss 1974, Marine Chemistry 2, table II: −58.0931, 90.5069, 22.2940
 */
export function waterSolubilityMolPerLAtm(temperature: Celsius): number {
  return weiss(temperature, -58.0931, 90.5069, 22.294);
}

/**
 * Henry's constant of CO2 in pure water (MPa per mole fraction; 0 to 160 °C, below 1 MPa).
 * @source Carroll, Slupsky, Mather 1991, J. Phys. Chem. Ref. Data 20, 1201:
 *   ln H = −6.8346 + 1.2817e4/T − 3.7668e6/T² + 2.997e8/T³
 */
export function carrollHenryMpa(temperature: Celsius): number {
  const t = toKelvin(within('water temperature', temperature, 'Cel', 0, 160));
  return Math.exp(-6.8346 + 1.2817e4 / t - 3.7668e6 / t ** 2 + 2.997e8 / t ** 3);
}

/**
 * Solubility of CO2 in pure water by Carroll's constant (mol per kg of water and atm of fugacity; 0 to 160 °C), in the
 * dilute limit m = x · 55.51 mol/kg.
 * @source as `carrollHenryMpa`
 */
export function carrollMolPerKgAtm(temperature: Celsius): number {
  return (STANDARD_ATMOSPHERE_KPA / 1000 / carrollHenryMpa(temperature)) * WATER_MOL_PER_KG;
}

/**
 * Saturation vapour pressure of water (kPa absolute; −5 to 100 °C; over supercooled water below 0 °C, extrapolated).
 * @source Wagner and Pruss 1993 (IAPWS SR1-86), coefficients from memory, checked against a general-purpose library
 */
export function waterVapourPressure(temperature: Celsius): KpaAbsolute {
  const t = toKelvin(within('water temperature', temperature, 'Cel', -5, 100));
  const tau = 1 - t / 647.096;
  const terms =
    -7.85951783 * tau +
    1.84408259 * tau ** 1.5 -
    11.7866497 * tau ** 3 +
    22.6807411 * tau ** 3.5 -
    15.9618719 * tau ** 4 +
    1.80122502 * tau ** 7.5;
  return kpaAbsolute(22_064 * Math.exp((647.096 / t) * terms));
}

/**
 * What pure water holds in the end under a TOTAL pressure of CO2 and its own vapour (volumes; 0 to 40 °C, up to
 * 1,000 kPa absolute). Against beer this is 4 to 6 % high.
 * @source Weiss 1974: K0 · φ · (P − p_water) with the real molar volume 22.263 L/mol
 */
export function waterVolumes(temperature: Celsius, total: KpaAbsolute): Volumes {
  const vapour = waterVapourPressure(temperature);
  within('total pressure', total, 'kPa absolute', vapour, 1000);
  const fugacityAtm = ((total - vapour) / STANDARD_ATMOSPHERE_KPA) * fugacityCoefficient(temperature, total);
  return volumes(waterSolubilityMolPerLAtm(temperature) * fugacityAtm * CO2_L_PER_MOL);
}

/**
 * Density of air-free water at 101.325 kPa (kg/m³; −5 to 100 °C, below 0 °C extrapolated).
 * @source Kell 1975, J. Chem. Eng. Data 20, 97, from memory
 */
export function waterDensity(temperature: Celsius): KilogramsPerCubicMetre {
  const t = within('water temperature', temperature, 'Cel', -5, 100);
  const numerator =
    999.83952 +
    16.945176 * t -
    7.9870401e-3 * t ** 2 -
    46.170461e-6 * t ** 3 +
    105.56302e-9 * t ** 4 -
    280.54253e-12 * t ** 5;
  return kilogramsPerCubicMetre(numerator / (1 + 16.87985e-3 * t));
}

/**
 * Dynamic viscosity of water (mPa·s; −5 to 100 °C). Within 2.5 %.
 * @source 2.414e-5 · 10^(247.8/(T − 140)) Pa·s, a common engineering fit, from memory
 */
export function waterViscosityMpaS(temperature: Celsius): number {
  const t = toKelvin(within('water temperature', temperature, 'Cel', -5, 100));
  return 2.414e-2 * 10 ** (247.8 / (t - 140));
}

/**
 * Diffusivity of CO2 in water (m²/s; −5 to 40 °C, published from 10 °C up).
 * @source Jähne, Heinz, Dietrich 1987, J. Geophys. Res. 92, 10767: 5019e-9 exp(−19510/(R T)), coefficients from memory
 */
export function waterDiffusivity(temperature: Celsius): number {
  const t = toKelvin(within('water temperature', temperature, 'Cel', -5, 40));
  return 5019e-9 * Math.exp(-19_510 / (8.314462618 * t));
}
