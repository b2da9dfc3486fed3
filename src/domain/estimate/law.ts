/** The chart's law in the units of the particles. */
import { OFFSET_VOLUMES, solubilityVolumesPerKpa } from '../../physics/carbonation.ts';
import { celsius } from '../../physics/units.ts';

/** Volumes per Pa at a temperature, held at the ends of the chart's range (-3 to 40 degC). */
export function solubilityPerPa(beerC: number): number {
  return solubilityVolumesPerKpa(celsius(Math.min(40, Math.max(-3, beerC)))) / 1000;
}

/** What the chart gives for a CO2 pressure (Pa). */
export function chartVolumes(beerC: number, co2Pa: number): number {
  return Math.max(0, solubilityPerPa(beerC) * Math.max(0, co2Pa) - OFFSET_VOLUMES);
}
