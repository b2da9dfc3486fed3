/** How far an equilibrium carbonation can be off, from what the probes and the chart can be off. */

import type { AirPressureFrom } from './atmosphere.ts';
import { equilibriumVolumes, solubilityChangePerCelsius, solubilityVolumesPerKpa } from './carbonation.ts';
import { within } from './range.ts';
import { type Celsius, type KpaAbsolute, type Volumes, volumes } from './units.ts';

/** Half width of a 90 % interval in standard deviations. @source normal distribution, 95 % quantile */
export const SD_PER_90 = 1.6449;

/**
 * Standard deviation of a digital thermometer (°C): its limits of ±0.5 °C, taken as evenly likely between.
 * @source data sheet of 1-Wire thermometers (DS18B20 class); GUM 4.3.7 for limits to deviation
 */
export const THERMOMETER_SD_C = 0.29;
/**
 * Standard deviation of an unzeroed low-cost pressure transducer (kPa): about 1 % of a 30 psi span.
 * @source error classes of such transducers, from memory; assumption of this model
 */
export const TRANSDUCER_SD_KPA = 2.1;
/** Standard deviation of the chart about the formula (volumes). @source rms over the 292 cells of the chart: 0.019 */
export const CHART_SD_VOLUMES = 0.02;
/**
 * Standard deviation of one beer about the chart (ratio): alcohol and extract change what it holds.
 * @source Speers and MacIntosh 2013 on the unknown beers behind the charts for the effect; the size is an assumption
 */
export const BEER_SD_RATIO = 0.024;

/**
 * Standard deviation of the local air pressure by where it comes from (kPa).
 * @source weather at a known altitude about 0.7 kPa, barometer 0.15 kPa, unknown altitude 5 kPa (some 400 m): assumptions
 */
export const AIR_PRESSURE_SD_KPA: Readonly<Record<AirPressureFrom, number>> = {
  barometer: 0.15,
  altitude: 0.7,
  'assumed-sea-level': 5,
};

export interface EquilibriumSensitivity {
  /** Volumes per °C; negative. */
  readonly perCelsius: number;
  /** Volumes per kPa of CO2. */
  readonly perKpa: number;
}

/**
 * How the equilibrium carbonation changes with temperature and CO2 pressure (ranges as `equilibriumVolumes`).
 * @source partial derivatives of the formula of `equilibriumVolumes`
 */
export function equilibriumSensitivity(beer: Celsius, co2: KpaAbsolute): EquilibriumSensitivity {
  within('CO2 pressure', co2, 'kPa absolute', 0, 1000);
  return { perCelsius: co2 * solubilityChangePerCelsius(beer), perKpa: solubilityVolumesPerKpa(beer) };
}

export interface MeasurementSd {
  readonly temperatureC: number;
  readonly gaugeKpa: number;
  /** Of the local air pressure; 0 if the gauge reads absolute pressure. */
  readonly airKpa: number;
}

/**
 * Half width of the 90 % interval of an equilibrium carbonation in chart volumes: what any pressure and temperature
 * instrument reports and a target means. The beer's own factor comes on top, see `plusMinusTrueVolumes`.
 * @source law of propagation of uncertainty for independent errors (GUM 5.1.2)
 */
export function plusMinusVolumes(beer: Celsius, co2: KpaAbsolute, co2Ratio: number, sd: MeasurementSd): Volumes {
  within('deviation of the temperature', sd.temperatureC, 'Cel', 0, 20);
  within('deviation of the pressure', sd.gaugeKpa, 'kPa', 0, 200);
  within('deviation of the air pressure', sd.airKpa, 'kPa', 0, 50);
  within('share of CO2 in the gas', co2Ratio, '', 0, 1);
  const by = equilibriumSensitivity(beer, co2);
  const perTotalKpa = by.perKpa * co2Ratio;
  const parts = [by.perCelsius * sd.temperatureC, perTotalKpa * sd.gaugeKpa, perTotalKpa * sd.airKpa, CHART_SD_VOLUMES];
  return volumes(SD_PER_90 * Math.hypot(...parts));
}

/**
 * The same interval for the CO2 truly in this beer, whose solubility differs from the chart's by 2 or 3 %.
 * @source as `plusMinusVolumes` and `BEER_SD_RATIO`
 */
export function plusMinusTrueVolumes(beer: Celsius, co2: KpaAbsolute, co2Ratio: number, sd: MeasurementSd): Volumes {
  const ofTheBeer = SD_PER_90 * BEER_SD_RATIO * equilibriumVolumes(beer, co2);
  return volumes(Math.hypot(plusMinusVolumes(beer, co2, co2Ratio, sd), ofTheBeer));
}
