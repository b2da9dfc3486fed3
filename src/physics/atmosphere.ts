import { within } from './range.ts';
import { type KpaAbsolute, kpaAbsolute, type Metres, metres, STANDARD_ATMOSPHERE_KPA } from './units.ts';

/** Fall of temperature over sea-level temperature (1/m). @source U.S. Standard Atmosphere 1976: 0.0065 K/m, 288.15 K */
const LAPSE_PER_METRE = 2.25577e-5;
/** g0 M / (R L). @source U.S. Standard Atmosphere 1976 (9.80665, 28.9644, 8314.32, 0.0065) */
const EXPONENT = 5.25588;

/** Lowest place to live or brew, with room (m). */
const LOWEST_M = -500;
/** Well inside the standard atmosphere's lowest layer, which ends at 11,000 m (m). */
const HIGHEST_M = 9000;

/**
 * Air pressure at an altitude in the standard atmosphere's lowest layer (kPa absolute, −500 m to 9,000 m).
 * Weather moves the true pressure by about ±2 kPa around it: a barometer is better. Geometric altitude is taken for
 * geopotential altitude, which costs 0.02 kPa at 3,000 m.
 * @source U.S. Standard Atmosphere 1976, eq. 33a: p0 (1 − 2.25577e-5 h)^5.25588
 */
export function airPressureAtAltitude(altitude: Metres): KpaAbsolute {
  within('altitude', altitude, 'm', LOWEST_M, HIGHEST_M);
  return kpaAbsolute(STANDARD_ATMOSPHERE_KPA * (1 - LAPSE_PER_METRE * altitude) ** EXPONENT);
}

/**
 * The altitude of the standard atmosphere that has this air pressure (m). Inverse of `airPressureAtAltitude`.
 * @source as `airPressureAtAltitude`, solved for h
 */
export function altitudeOfAirPressure(air: KpaAbsolute): Metres {
  const altitude = (1 - (air / STANDARD_ATMOSPHERE_KPA) ** (1 / EXPONENT)) / LAPSE_PER_METRE;
  return metres(within('altitude of this air pressure', altitude, 'm', LOWEST_M, HIGHEST_M));
}

export type AirPressureFrom = 'barometer' | 'altitude' | 'assumed-sea-level';

export interface LocalAir {
  readonly ambient: KpaAbsolute;
  readonly from: AirPressureFrom;
}

/**
 * The local air pressure: a barometer if there is one, else the altitude, else sea level, said to be assumed.
 * The barometer must show the station's own pressure (30 to 115 kPa), not the one reduced to sea level in forecasts.
 * @source U.S. Standard Atmosphere 1976 for an altitude; the order of preference is ours
 */
export function localAir(barometer: KpaAbsolute | null, altitude: Metres | null): LocalAir {
  if (barometer !== null) {
    return { ambient: within('air pressure', barometer, 'kPa absolute', 30, 115), from: 'barometer' };
  }
  if (altitude !== null) return { ambient: airPressureAtAltitude(altitude), from: 'altitude' };
  return { ambient: kpaAbsolute(STANDARD_ATMOSPHERE_KPA), from: 'assumed-sea-level' };
}
