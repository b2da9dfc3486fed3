/** Sugar for bottle conditioning, and the CO2 that is in the beer already. */

import { equilibriumVolumes } from './carbonation.ts';
import { CO2_G_PER_MOL, G_PER_L_PER_VOLUME } from './co2.ts';
import { within } from './range.ts';
import { type Celsius, convert, type KpaAbsolute, type Litres, type Volumes, volumes } from './units.ts';

/**
 * Molar mass (g/mol) and moles of CO2 per mole in full fermentation.
 * @source stoichiometry: C6H12O6 → 2 C2H5OH + 2 CO2; sucrose takes up one water and makes four
 */
const SUGARS = {
  sucrose: { gramsPerMol: 342.296, co2PerMol: 4 },
  dextrose: { gramsPerMol: 180.156, co2PerMol: 2 },
  'dextrose-monohydrate': { gramsPerMol: 198.171, co2PerMol: 2 },
} as const;
export type Sugar = keyof typeof SUGARS;

/**
 * Grams of CO2 from a gram of sugar, fully fermented, with no growth of yeast.
 * @source as `SUGARS`: stoichiometry
 */
export function co2PerGramOfSugar(sugar: Sugar): number {
  const { gramsPerMol, co2PerMol } = SUGARS[sugar];
  return (co2PerMol * CO2_G_PER_MOL) / gramsPerMol;
}

/**
 * Sugar that adds some volumes of CO2 to beer in closed bottles (g; 0 to 5 volumes to ADD, up to 10,000 L). The beer must
 * be fully fermented: sugar left in it makes CO2 as well, and bottles burst.
 * @source stoichiometry, 1.977 g of CO2 per litre and volume
 */
export function primingSugarGrams(toAdd: Volumes, beer: Litres, sugar: Sugar): number {
  within('carbonation to add', toAdd, 'volumes', 0, 5);
  within('beer', beer, 'L', 0, 10_000);
  return (toAdd * G_PER_L_PER_VOLUME * beer) / co2PerGramOfSugar(sugar);
}

/**
 * CO2 in WATER in equilibrium with one atmosphere of CO2, by the trade's quadratic (volumes; 0 to 26.7 °C).
 * The published table of "CO2 in finished beer" is this, pure water: about 5 % too high for beer, see `residualVolumes`.
 * V = 3.0378 − 0.050062 T + 0.00026555 T², T in °F (some pages say °C, wrongly).
 * @source hbd.org/ddraper/priming.html for the table; the quadratic circulates in the trade
 */
export function residualVolumesTradeTable(fermented: Celsius): Volumes {
  const fahrenheit = convert(within('fermentation temperature', fermented, 'Cel', 0, 26.7), 'Cel', '[degF]');
  return volumes(3.0378 - 0.050062 * fahrenheit + 0.00026555 * fahrenheit ** 2);
}

/**
 * CO2 left in beer after fermentation under an airlock (volumes; −3 to 40 °C): in equilibrium with CO2 at air pressure
 * at the highest temperature since fermentation ended. Beer moved or left open since holds less.
 * @source as `equilibriumVolumes`, at 0 gauge
 */
export function residualVolumes(fermented: Celsius, ambient: KpaAbsolute): Volumes {
  within('air pressure', ambient, 'kPa absolute', 30, 115);
  return equilibriumVolumes(fermented, ambient);
}
