/** Gas leaving through a hole. */

import { CO2_G_PER_MOL, GAS_CONSTANT } from './co2.ts';
import { within } from './range.ts';
import { type Celsius, type KpaAbsolute, type SquareMetres, toKelvin } from './units.ts';

/** Ratio of specific heats of CO2 near 10 °C. @source engineering tables, from memory: 1.30 */
const CO2_HEAT_RATIO = 1.3;
/** Share of the ideal flow that a sharp-edged hole passes. @source sharp-edged orifice, from memory: 0.61 */
export const DISCHARGE_COEFFICIENT = 0.61;

export interface Gas {
  readonly gramsPerMol: number;
  readonly heatRatio: number;
}
/** @source as `CO2_HEAT_RATIO` and the molar mass */
export const CO2_GAS: Gas = { gramsPerMol: CO2_G_PER_MOL, heatRatio: CO2_HEAT_RATIO };

/**
 * The ratio of outer to inner pressure below which the flow is choked: it no longer depends on the outer pressure.
 * @source isentropic flow of an ideal gas, (2/(γ+1))^(γ/(γ−1)); γ from 1.05 to 1.7
 */
export function chokedPressureRatio(heatRatio: number): number {
  within('ratio of specific heats', heatRatio, '', 1.05, 1.7);
  return (2 / (heatRatio + 1)) ** (heatRatio / (heatRatio - 1));
}

/**
 * Mass flow of gas through a small hole (kg/s), choked or not. Range: 0 to 10,000 kPa absolute, holes up to 1 cm².
 * Nothing flows if the outside is not lower.
 * @source isentropic flow of an ideal gas through an orifice; any text on gas dynamics
 */
export function leakKgPerSecond(
  inside: KpaAbsolute,
  outside: KpaAbsolute,
  hole: SquareMetres,
  temperature: Celsius,
  gas: Gas = CO2_GAS,
  dischargeCoefficient = DISCHARGE_COEFFICIENT,
): number {
  within('pressure inside', inside, 'kPa absolute', 0, 10_000);
  within('pressure outside', outside, 'kPa absolute', 0, 10_000);
  within('hole', hole, 'm2', 0, 1e-4);
  within('gas temperature', temperature, 'Cel', -50, 100);
  within('discharge coefficient', dischargeCoefficient, '', 0, 1);
  if (inside <= outside) return 0;
  const g = gas.heatRatio;
  // From the critical ratio on, the throat runs at sound speed: a lower outside pressure changes nothing.
  const ratio = Math.max(outside / inside, chokedPressureRatio(g));
  const speedSquared = ((2 * g) / (g - 1)) * (ratio ** (2 / g) - ratio ** ((g + 1) / g));
  const perKgJ = (GAS_CONSTANT / gas.gramsPerMol) * 1000 * toKelvin(temperature);
  return dischargeCoefficient * hole * inside * 1000 * Math.sqrt(speedSquared / perKgJ);
}
