/** How much CO2 a job takes, and how much air is left. */
import { CO2_G_PER_MOL, G_PER_L_PER_VOLUME, gasMoles } from './co2.ts';
import { within } from './range.ts';
import { type Celsius, type KpaAbsolute, kpaAbsolute, type Litres, litres, type Volumes } from './units.ts';

/**
 * CO2 to carbonate beer (g; 0 to 10 volumes, up to 10,000 L). None if it holds enough.
 * @source 1.977 g per litre and volume, see `G_PER_L_PER_VOLUME`
 */
export function carbonatingGrams(from: Volumes, to: Volumes, beer: Litres): number {
  within('carbonation at the start', from, 'volumes', 0, 10);
  within('wished carbonation', to, 'volumes', 0, 10);
  within('beer', beer, 'L', 0, 10_000);
  return Math.max(0, to - from) * beer * G_PER_L_PER_VOLUME;
}

/**
 * CO2 that takes the place of beer pushed out (g; up to 1,500 kPa absolute, −8 to 47 °C, up to 10,000 L).
 * @source gas with second virial, as `gasMoles`
 */
export function pushingGrams(beer: Litres, pressure: KpaAbsolute, temperature: Celsius): number {
  return gasMoles(pressure, beer, temperature) * CO2_G_PER_MOL;
}

/**
 * CO2 to flush a space at air pressure with some changes of its volume (g; 0 to 100 changes, −8 to 47 °C).
 * @source as `gasMoles`
 */
export function flushingGrams(space: Litres, changes: number, ambient: KpaAbsolute, temperature: Celsius): number {
  within('changes of volume', changes, '', 0, 100);
  return gasMoles(ambient, litres(space * changes), temperature) * CO2_G_PER_MOL;
}

/**
 * Air left after flushing with some changes of volume, if the gas mixes well (kPa). Five changes leave 0.7 %.
 * @source dilution of a stirred vessel, exp(−changes)
 */
export function airAfterFlushing(ambient: KpaAbsolute, changes: number): KpaAbsolute {
  within('air pressure', ambient, 'kPa absolute', 30, 115);
  return kpaAbsolute(ambient * Math.exp(-within('changes of volume', changes, '', 0, 100)));
}

/**
 * CO2 to purge a space by pressing it to a pressure and venting, some times (g; 0 to 50 times, −8 to 47 °C).
 * @source as `gasMoles`: each time adds what lies between air pressure and the purge pressure
 */
export function purgingGrams(
  space: Litres,
  purge: KpaAbsolute,
  ambient: KpaAbsolute,
  times: number,
  temperature: Celsius,
): number {
  within('purge pressure', purge, 'kPa absolute', ambient, 1500);
  within('purges', times, 'times', 0, 50);
  const added = gasMoles(purge, space, temperature) - gasMoles(ambient, space, temperature);
  return times * added * CO2_G_PER_MOL;
}

/**
 * Air left in a space after pressing it to a pressure and venting, some times, if the gas mixes well (kPa).
 * @source ideal mixing: each purge leaves the share p_air/p_purge
 */
export function airAfterPurges(ambient: KpaAbsolute, purge: KpaAbsolute, times: number): KpaAbsolute {
  within('air pressure', ambient, 'kPa absolute', 30, 115);
  within('purge pressure', purge, 'kPa absolute', ambient, 1500);
  within('purges', times, 'times', 0, 50);
  return kpaAbsolute(ambient * (ambient / purge) ** times);
}
