/** Two other published beer formulas. They check the primary one inside their own ranges and are used for nothing else. */
import { within } from './range.ts';
import {
  type Celsius,
  convert,
  type GramsPerLitre,
  gramsPerLitre,
  type KpaAbsolute,
  type KpaGauge,
  kpaAbsolute,
  kpaGauge,
  STANDARD_ATMOSPHERE_KPA,
  type Volumes,
  volumes,
} from './units.ts';

function linearTerm(fahrenheit: number): number {
  return 0.173354 * fahrenheit + 4.24267;
}

function constantTerm(fahrenheit: number): number {
  return -16.6999 - 0.0101059 * fahrenheit + 0.00116512 * fahrenheit ** 2;
}

function fahrenheitInChart(beer: Celsius): number {
  // The rounding slack lets 30 and 60 °F in when they come as °C.
  const fahrenheit = convert(beer, 'Cel', '[degF]');
  return within('beer temperature', fahrenheit, '[degF]', 30 - 1e-9, 60 + 1e-9);
}

/**
 * Gauge pressure at sea level for a carbonation, by the polynomial fit to the trade's chart (kPa gauge).
 * P = −16.6999 − 0.0101059 T + 0.00116512 T² + 0.173354 T V + 4.24267 V − 0.0684226 V², psi and °F.
 * Range: 30 to 60 °F and 1.6 to 3.35 volumes, its chart; at 80 °F and 3 volumes it is 4.5 psi off, so it is refused there.
 * @source "Force Carbonation Tables", brewery.org library, CO2charts
 */
export function polynomialPressure(carbonation: Volumes, beer: Celsius): KpaGauge {
  const t = fahrenheitInChart(beer);
  const v = within('carbonation', carbonation, 'volumes', 1.6, 3.35);
  return kpaGauge(convert(constantTerm(t) + linearTerm(t) * v - 0.0684226 * v ** 2, '[psi]', 'kPa'));
}

/**
 * Carbonation at a CO2 pressure by the same polynomial, solved for V (volumes; 1.6 to 3.35, 30 to 60 °F).
 * The pressure is absolute; the polynomial's gauge is read at sea level.
 * @source as `polynomialPressure`, the lower root of the quadratic
 */
export function polynomialVolumes(beer: Celsius, co2: KpaAbsolute): Volumes {
  const t = fahrenheitInChart(beer);
  const psi = convert(co2 - STANDARD_ATMOSPHERE_KPA, 'kPa', '[psi]');
  const root = Math.sqrt(Math.max(0, linearTerm(t) ** 2 + 4 * 0.0684226 * (constantTerm(t) - psi)));
  const carbonation = (linearTerm(t) - root) / (2 * 0.0684226);
  return volumes(within('carbonation by the polynomial', carbonation, 'volumes', 1.6, 3.35));
}

/**
 * Carbonation at a CO2 pressure by the metric formula behind a common g/L table (g/L).
 * C = 10 (P + 1.013) exp(−10.73797 + 2617.25/(t + 273.15)), P bar gauge at sea level.
 * Range: −1 to 25 °C, 0.5 to 2.1 bar absolute.
 * @source one-page table "CO2 content in g/l based on the head pressure and temperature of the beer"; author unknown,
 *   formula seen in two public scripts
 */
export function metricGramsPerLitre(beer: Celsius, co2: KpaAbsolute): GramsPerLitre {
  within('beer temperature', beer, 'Cel', -1, 25);
  const bar = convert(within('CO2 pressure', co2, 'kPa absolute', 50, 210), 'kPa', 'bar');
  return gramsPerLitre(10 * bar * Math.exp(-10.73797 + 2617.25 / (beer + 273.15)));
}

/**
 * The CO2 pressure for a carbonation by the metric formula (kPa absolute; −1 to 25 °C, 0.5 to 2.1 bar absolute).
 * @source as `metricGramsPerLitre`, solved for P
 */
export function metricPressure(carbonation: GramsPerLitre, beer: Celsius): KpaAbsolute {
  within('beer temperature', beer, 'Cel', -1, 25);
  const bar = carbonation / (10 * Math.exp(-10.73797 + 2617.25 / (beer + 273.15)));
  return kpaAbsolute(within('CO2 pressure', convert(bar, 'bar', 'kPa'), 'kPa absolute', 50, 210));
}
