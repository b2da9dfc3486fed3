import { within } from './range.ts';
import { type Celsius, celsius } from './units.ts';

/** Molal freezing-point depression of water (K·kg/mol). @source CRC Handbook, cryoscopic constants, from memory: 1.86 */
const CRYOSCOPIC_CONSTANT = 1.86;
/** Molar mass of ethanol (g/mol). @source IUPAC standard atomic weights, from memory: 46.068 */
const ETHANOL_G_PER_MOL = 46.068;
/** Density of ethanol at 20 °C (g/mL). @source CRC Handbook, from memory: 0.7893 */
const ETHANOL_G_PER_ML = 0.7893;
/** Room that a mole of ethanol takes in dilute solution, less than pure (mL/mol). @source from memory: 55.1 */
const ETHANOL_ML_PER_MOL = 55.1;
/** Density of water at 20 °C (g/mL). @source Kell 1975: 0.9982 */
const WATER_G_PER_ML = 0.9982;

/** Grams of ethanol and of water in a litre of ethanol and water. Mixing shrinks them, so water is not simply the rest. */
function gramsInLitre(abvPercent: number): { ethanol: number; water: number } {
  within('alcohol', abvPercent, '% by volume', 0, 25);
  const ethanol = abvPercent * 10 * ETHANOL_G_PER_ML;
  return { ethanol, water: (1000 - (ethanol / ETHANOL_G_PER_MOL) * ETHANOL_ML_PER_MOL) * WATER_G_PER_ML };
}

/**
 * Alcohol by weight from alcohol by volume in a mixture of ethanol and water (%; 0 to 25 % by volume).
 * A beer is a little heavier by its extract: its own figure is about 2 % lower.
 * @source mass balance with the partial molar volume of ethanol; agrees with Lange's Handbook, table 5.13
 */
export function alcoholByWeightPercent(abvPercent: number): number {
  const { ethanol, water } = gramsInLitre(abvPercent);
  return (100 * ethanol) / (ethanol + water);
}

function depressed(molality: number): Celsius {
  return celsius(0 - CRYOSCOPIC_CONSTANT * molality);
}

/**
 * Where a beer begins to freeze, from its alcohol by VOLUME alone (°C; 0 to 25 %). Extract lowers the true point a
 * little further, so this is the warm, safe end. Within 0.15 °C of tables up to 10 % by volume, 0.5 °C above.
 * @source Raoult/van 't Hoff: ΔT = Kf · molality, ideal dilute solution; agrees with Lange's Handbook, table 5.13
 */
export function beerFreezingPoint(abvPercent: number): Celsius {
  const { ethanol, water } = gramsInLitre(abvPercent);
  return depressed((ethanol / ETHANOL_G_PER_MOL / water) * 1000);
}

/**
 * The same from alcohol by WEIGHT (°C; 0 to 21 %). Within 0.15 °C of tables up to 8 % by weight, 0.5 °C above.
 * @source as `beerFreezingPoint`
 */
export function beerFreezingPointByWeight(abwPercent: number): Celsius {
  within('alcohol', abwPercent, '% by weight', 0, 21);
  return depressed((abwPercent / ETHANOL_G_PER_MOL / (100 - abwPercent)) * 1000);
}

/** How far the formula can be off (°C): more for strong beer. @source largest differences to Lange's and CRC tables */
const FORMULA_ERROR_C = 0.15;
/** @source as `FORMULA_ERROR_C`, above 8 % by weight */
const FORMULA_ERROR_STRONG_C = 0.5;
/** Freezing point of 8 % by weight, up to where the smaller error holds. @source `beerFreezingPointByWeight(8)` */
const STRONG_BELOW_C = -3.52;

/**
 * The reading at which to warn (°C): freezing point plus what the probe and the formula can be off, so that the beer
 * cannot be freezing while the probe still shows more. Colder spots at the wall and the coil are not in it.
 * @source sum of the limits; probe ±0.5 °C by the data sheet of 1-Wire thermometers
 */
export function freezingWarning(freezingPoint: Celsius, probePlusMinusC = 0.5): Celsius {
  within('freezing point', freezingPoint, 'Cel', -15, 0);
  within('error of the probe', probePlusMinusC, 'Cel', 0, 10);
  const formula = freezingPoint < STRONG_BELOW_C ? FORMULA_ERROR_STRONG_C : FORMULA_ERROR_C;
  return celsius(freezingPoint + probePlusMinusC + formula);
}
