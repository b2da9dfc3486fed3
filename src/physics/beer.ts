/** Beer as a fluid. Scaled from water through measured values of one lager: beers differ by a few percent. */
import type { Celsius, KilogramsPerCubicMetre } from './units.ts';
import { celsius, kilogramsPerCubicMetre } from './units.ts';
import { waterDensity, waterDiffusivity, waterViscosityMpaS } from './water.ts';

/** Where the lager was measured. @source Liger-Belair and Cilindre 2021, ACS Omega 6, 9672, table 1: 6 °C, 1010 kg/m³, 2.42 mPa·s */
const MEASURED_AT = celsius(6);
/** @source as `MEASURED_AT`: density */
const LAGER_KG_PER_M3 = 1010;
/** @source as `MEASURED_AT`: dynamic viscosity */
const LAGER_MPA_S = 2.42;

/**
 * CO2 diffuses more slowly in an alcoholic drink than in water (ratio).
 * @source Perret et al. 2014 (sparkling wine, 1.4 to 1.5e-9 m²/s at 20 °C) over Jähne 1987 (water, 1.67e-9): 0.87, computed
 */
const DIFFUSIVITY_RATIO = 0.87;

/**
 * Density of a lager (kg/m³; −5 to 40 °C): 1,010 at 6 °C, changing with temperature as water does.
 * @source Liger-Belair and Cilindre 2021, table 1; Kell 1975 for the change with temperature
 */
export function beerDensity(temperature: Celsius): KilogramsPerCubicMetre {
  return kilogramsPerCubicMetre((LAGER_KG_PER_M3 * waterDensity(temperature)) / waterDensity(MEASURED_AT));
}

/**
 * Dynamic viscosity of a lager (mPa·s; −5 to 40 °C): 2.42 at 6 °C, changing with temperature as water does.
 * @source Liger-Belair and Cilindre 2021, table 1; as `waterViscosityMpaS` for the change with temperature
 */
export function beerViscosityMpaS(temperature: Celsius): number {
  return (LAGER_MPA_S * waterViscosityMpaS(temperature)) / waterViscosityMpaS(MEASURED_AT);
}

/**
 * Diffusivity of CO2 in beer (m²/s; −5 to 40 °C): that in water times 0.87. No measurement in beer was found.
 * @source as `waterDiffusivity` and `DIFFUSIVITY_RATIO`
 */
export function beerDiffusivity(temperature: Celsius): number {
  return waterDiffusivity(temperature) * DIFFUSIVITY_RATIO;
}
