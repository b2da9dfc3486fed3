import { within } from './range.ts';
import { type KpaAbsolute, kpaAbsolute, type Metres, STANDARD_ATMOSPHERE_KPA } from './units.ts';

/**
 * Air pressure at an altitude in the standard atmosphere's lowest layer (kPa absolute, −500 m to 9,000 m).
 * Weather moves the true pressure by about ±2 kPa around it: a barometer is better.
 * @source U.S. Standard Atmosphere 1976, eq. 33a with T0 288.15 K, lapse 6.5 K/km: p0 (1 − 2.25577e-5 h)^5.25588
 */
export function airPressureAtAltitude(altitude: Metres): KpaAbsolute {
  within('altitude', altitude, 'm', -500, 9000);
  return kpaAbsolute(STANDARD_ATMOSPHERE_KPA * (1 - 2.25577e-5 * altitude) ** 5.25588);
}
