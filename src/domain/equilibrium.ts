import { equilibriumPressure, equilibriumVolumes } from '../physics/carbonation.ts';
import { celsius, kpaAbsolute, volumes } from '../physics/units.ts';
import { refusedAsNull } from './refused.ts';

/**
 * What the beer would hold in the end (chart volumes), or null where that cannot be said: the temperature or pressure
 * is outside the solubility's range, or the gas is mixed and its share of CO2 unknown.
 */
export function equilibriumOrNull(
  beerC: number,
  headspaceKpaGauge: number,
  ambientKpaAbsolute: number,
  co2Ratio: number | null,
): number | null {
  if (co2Ratio === null) return null;
  return refusedAsNull(() =>
    equilibriumVolumes(celsius(beerC), kpaAbsolute(co2Ratio * (headspaceKpaGauge + ambientKpaAbsolute))),
  );
}

/** The gauge pressure that holds a carbonation at a temperature (kPa), or null where that cannot be said. */
export function pressureForOrNull(
  carbonation: number,
  beerC: number,
  ambientKpaAbsolute: number,
  co2Ratio: number | null,
): number | null {
  if (co2Ratio === null) return null;
  return refusedAsNull(() => equilibriumPressure(volumes(carbonation), celsius(beerC)) / co2Ratio - ambientKpaAbsolute);
}
