import { within } from './range.ts';
import { type Celsius, celsius, type KpaAbsolute, kpaAbsolute, type Volumes, volumes } from './units.ts';

/** kPa in one psi, as the published formula's pressures are converted. @source NIST SP 811, appendix B */
const KPA_PER_PSI = 6.894757293168;

/** What the formula subtracts (volumes). @source as `solubilityVolumesPerKpa` */
export const OFFSET_VOLUMES = 0.003342;

/** Where the published fit is used here. Charts span −1 to 25 °C; the fit is smooth to the ends. */
const COLDEST_C = -3;
/** Above 25 °C no chart checks it; bottles get that warm. */
const WARMEST_C = 40;
/** Highest CO2 pressure accepted (kPa absolute): four times a chart's highest; beyond it the gas is no longer ideal. */
const HIGHEST_KPA = 1000;

/**
 * Volumes of CO2 that beer takes up per kPa of CO2 pressure at a temperature (−3 to 40 °C).
 * V = P·(0.01821 + 0.090115·exp(−(T−32)/43.11)) − 0.003342, P absolute in psi, T in °F.
 * @source Henry-type fit to the trade's carbonation chart, attributed to A. J. deLange; seen in its inverse form
 */
export function solubilityVolumesPerKpa(beer: Celsius): number {
  within('beer temperature', beer, 'Cel', COLDEST_C, WARMEST_C);
  const aboveFreezingF = beer * 1.8;
  return (0.01821 + 0.090115 * Math.exp(-aboveFreezingF / 43.11)) / KPA_PER_PSI;
}

/**
 * How that solubility changes with temperature (volumes per kPa and °C, negative; −3 to 40 °C).
 * @source derivative of `solubilityVolumesPerKpa`
 */
export function solubilityChangePerCelsius(beer: Celsius): number {
  within('beer temperature', beer, 'Cel', COLDEST_C, WARMEST_C);
  return (0.090115 * Math.exp((-beer * 1.8) / 43.11) * (-1.8 / 43.11)) / KPA_PER_PSI;
}

/**
 * Partial pressure of CO2 over the beer (kPa absolute): the share of CO2 in the gas supply times what is left of the total
 * after the air that was never purged (0 to 1,000 kPa; the air is at most the total, the share 0 to 1). The chart is
 * read by the gauge's total pressure, so no water vapour is taken off for beer.
 * @source Dalton's law of partial pressures
 */
export function co2PartialPressure(total: KpaAbsolute, air: KpaAbsolute, co2Ratio: number): KpaAbsolute {
  within('headspace pressure', total, 'kPa absolute', 0, HIGHEST_KPA);
  within('air in the headspace', air, 'kPa absolute', 0, total);
  within('share of CO2 in the gas', co2Ratio, '', 0, 1);
  return kpaAbsolute((total - air) * co2Ratio);
}

/**
 * The total pressure that gives a CO2 partial pressure (kPa absolute). Inverse of `co2PartialPressure`; `co2Ratio` above 0.
 * @source as `co2PartialPressure`, solved for the total
 */
export function totalPressureFor(co2: KpaAbsolute, air: KpaAbsolute, co2Ratio: number): KpaAbsolute {
  within('CO2 pressure', co2, 'kPa absolute', 0, HIGHEST_KPA);
  within('air in the headspace', air, 'kPa absolute', 0, HIGHEST_KPA);
  within('share of CO2 in the gas', co2Ratio, '', 0.05, 1);
  return kpaAbsolute(co2 / co2Ratio + air);
}

/**
 * What the beer holds in the end at a temperature and CO2 partial pressure (volumes, never below 0).
 * The partial pressure is gauge plus local air pressure, less air in the headspace, times the share of CO2 in the gas.
 * Range: −3 to 40 °C, 0 to 1,000 kPa absolute. Fits its chart within 0.06 volumes, 0.02 rms.
 * @source as `solubilityVolumesPerKpa`
 */
export function equilibriumVolumes(beer: Celsius, co2: KpaAbsolute): Volumes {
  within('CO2 pressure', co2, 'kPa absolute', 0, HIGHEST_KPA);
  return volumes(Math.max(0, co2 * solubilityVolumesPerKpa(beer) - OFFSET_VOLUMES));
}

/**
 * The CO2 partial pressure that holds a carbonation at a temperature (kPa absolute). Inverse of `equilibriumVolumes`.
 * Range: −3 to 40 °C, 0 to 10 volumes.
 * @source as `solubilityVolumesPerKpa`, solved for P
 */
export function equilibriumPressure(carbonation: Volumes, beer: Celsius): KpaAbsolute {
  within('carbonation', carbonation, 'volumes', 0, 10);
  return kpaAbsolute((carbonation + OFFSET_VOLUMES) / solubilityVolumesPerKpa(beer));
}

/**
 * The temperature at which a CO2 partial pressure holds a carbonation (°C). Inverse of `equilibriumVolumes` in T.
 * Throws `PhysicsRangeError` if no temperature from −3 to 40 °C does.
 * @source as `solubilityVolumesPerKpa`, solved for T
 */
export function equilibriumTemperature(carbonation: Volumes, co2: KpaAbsolute): Celsius {
  within('carbonation', carbonation, 'volumes', 0, 10);
  within('CO2 pressure', co2, 'kPa absolute', 0, HIGHEST_KPA);
  const perPsi = ((carbonation + OFFSET_VOLUMES) / co2) * KPA_PER_PSI;
  // A solubility below what the fit reaches at any temperature asks for beer warmer than any.
  const temperature = (-43.11 * Math.log(Math.max(0, (perPsi - 0.01821) / 0.090115))) / 1.8;
  return celsius(within('temperature for this carbonation and pressure', temperature, 'Cel', COLDEST_C, WARMEST_C));
}
