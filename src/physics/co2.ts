import { within } from './range.ts';
import {
  type Celsius,
  type GramsPerLitre,
  gramsPerLitre,
  type KpaAbsolute,
  type Litres,
  type Moles,
  moles,
  toKelvin,
  type Volumes,
  volumes,
} from './units.ts';

/** Molar mass of CO2 (g/mol). @source IUPAC atomic weights, from memory: 44.0095 */
export const CO2_G_PER_MOL = 44.0095;
/** Real molar volume of CO2 at 0 °C and 101.325 kPa (L/mol). @source industrial gas supplier's booklet "Properties of Carbon Dioxide" */
export const CO2_L_PER_MOL = 22.263;
/** One volume of CO2 as mass (g/L, real gas; the ideal gas would be 1.9635). @source as `CO2_L_PER_MOL`: 1.977 kg/m³ */
export const G_PER_L_PER_VOLUME = 1.977;
/** Molar gas constant (kPa·L/(mol·K)). @source CODATA 2018, exact: 8.314462618, from memory */
export const GAS_CONSTANT = 8.314462618;

/** Gas constant in the units of the virial coefficient (cm³·atm/(mol·K)). @source Weiss 1974, as used with its coefficients */
const WEISS_GAS_CONSTANT = 82.057;

/** Highest CO2 pressure accepted for the gas laws here (kPa absolute): beyond it the second virial is not enough. */
const HIGHEST_KPA = 1500;

/**
 * Mass of the CO2 in a litre of beer (g/L) from volumes (0 to 20).
 * @source definition of the volume; density of the real gas 1.977 g/L, see `G_PER_L_PER_VOLUME`
 */
export function gramsPerLitreOfVolumes(carbonation: Volumes): GramsPerLitre {
  return gramsPerLitre(within('carbonation', carbonation, 'volumes', 0, 20) * G_PER_L_PER_VOLUME);
}

/**
 * Volumes from g/L (0 to 40). Inverse of `gramsPerLitreOfVolumes`.
 * @source as `gramsPerLitreOfVolumes`
 */
export function volumesOfGramsPerLitre(carbonation: GramsPerLitre): Volumes {
  return volumes(within('carbonation', carbonation, 'g/L', 0, 40) / G_PER_L_PER_VOLUME);
}

/**
 * Second virial coefficient of CO2 (cm³/mol, negative; −8 to 47 °C).
 * @source Weiss 1974: B = −1636.75 + 12.0408 T − 0.0327957 T² + 3.16528e-5 T³, 265 to 320 K (range from memory)
 */
export function secondVirialCm3PerMol(temperature: Celsius): number {
  const t = toKelvin(within('gas temperature', temperature, 'Cel', -8, 46.85));
  return -1636.75 + 12.0408 * t - 0.0327957 * t ** 2 + 3.16528e-5 * t ** 3;
}

/**
 * Fugacity coefficient of CO2 (1 for an ideal gas) at a temperature and total pressure (0 to 1,500 kPa absolute), with
 * `co2Ratio` of the gas being CO2 and the rest air.
 * @source Weiss 1974, eq. 9 and 11: ln φ = P (B + 2 (1 − x)² δ)/(R T), δ = 57.7 − 0.118 T
 */
export function fugacityCoefficient(temperature: Celsius, total: KpaAbsolute, co2Ratio = 1): number {
  within('gas pressure', total, 'kPa absolute', 0, HIGHEST_KPA);
  within('share of CO2', co2Ratio, '', 0, 1);
  const t = toKelvin(temperature);
  const cross = 2 * (1 - co2Ratio) ** 2 * (57.7 - 0.118 * t);
  return Math.exp(((total / 101.325) * (secondVirialCm3PerMol(temperature) + cross)) / (WEISS_GAS_CONSTANT * t));
}

/**
 * Amount of CO2 gas in a space (mol), ideal gas with second virial: p V = n R T (1 + B p/(R T)).
 * Range: 0 to 1,500 kPa absolute, −8 to 47 °C.
 * @source virial equation in its pressure form, second term; B as `secondVirialCm3PerMol`
 */
export function gasMoles(co2: KpaAbsolute, space: Litres, temperature: Celsius): Moles {
  within('gas pressure', co2, 'kPa absolute', 0, HIGHEST_KPA);
  within('gas space', space, 'L', 0, 10_000);
  const virialL = secondVirialCm3PerMol(temperature) / 1000;
  return moles((co2 * space) / (GAS_CONSTANT * toKelvin(temperature) + virialL * co2));
}
