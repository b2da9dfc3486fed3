/** Cooling of a keg as one lump: right while the beer is well mixed inside, which a keg only roughly is. */
import { within } from './range.ts';
import {
  type Celsius,
  celsius,
  type Kilograms,
  type Litres,
  type Metres,
  type Seconds,
  type SquareMetres,
  seconds,
  squareMetres,
} from './units.ts';

/** Specific heat of beer (kJ/(kg·K)). @source trade value, from memory: 4.05 */
const BEER_KJ_PER_KG_K = 4.05;
/** Specific heat of stainless steel (kJ/(kg·K)). @source engineering tables, from memory: 0.50 */
const STEEL_KJ_PER_KG_K = 0.5;
/** Density of beer for its heat (kg/L). @source Liger-Belair and Cilindre 2021, table 1 */
const BEER_KG_PER_L = 1.01;

/**
 * Temperature after a time in surroundings of constant temperature (°C).
 * @source Incropera and DeWitt, chapter 5, lumped capacitance: T = T∞ + (T0 − T∞) exp(−t/τ)
 */
export function relaxTemperature(
  start: Celsius,
  surroundings: Celsius,
  elapsed: Seconds,
  timeConstant: Seconds,
): Celsius {
  within('temperature at the start', start, 'Cel', -50, 100);
  within('temperature around', surroundings, 'Cel', -50, 100);
  within('elapsed time', elapsed, 's', 0, 1e10);
  within('time constant', timeConstant, 's', 1, 1e8);
  return celsius(surroundings + (start - surroundings) * Math.exp(-elapsed / timeConstant));
}

/**
 * Time until a temperature is reached (s). Inverse of `relaxTemperature`; throws `PhysicsRangeError` if it never is,
 * because the goal does not lie between start and surroundings.
 * @source as `relaxTemperature`, solved for t
 */
export function timeToTemperature(
  start: Celsius,
  surroundings: Celsius,
  goal: Celsius,
  timeConstant: Seconds,
): Seconds {
  within('time constant', timeConstant, 's', 1, 1e8);
  within('temperature at the start', start, 'Cel', -50, 100);
  within('temperature around', surroundings, 'Cel', -50, 100);
  const [low, high] = start < surroundings ? [start, surroundings] : [surroundings, start];
  within('temperature to reach, between start and surroundings', goal, 'Cel', low, high);
  const share = goal === start ? 1 : (goal - surroundings) / (start - surroundings);
  within('share of the temperature difference left at the goal', share, '', 1e-6, 1);
  return seconds(timeConstant * Math.log(1 / share));
}

/**
 * Time constant from two temperatures and the time between them (s). Throws if the second is not nearer to the
 * surroundings.
 * @source as `relaxTemperature`, solved for τ
 */
export function timeConstantFromReadings(
  first: Celsius,
  second: Celsius,
  surroundings: Celsius,
  between: Seconds,
): Seconds {
  within('time between the readings', between, 's', 1, 1e8);
  const share = within(
    'share of the temperature difference left',
    (second - surroundings) / (first - surroundings),
    '',
    1e-6,
    1 - 1e-6,
  );
  return seconds(between / Math.log(1 / share));
}

/**
 * Heat capacity of a keg with beer (kJ/K).
 * @source sum of mass times specific heat; constants above
 */
export function kegHeatCapacity(beer: Litres, steel: Kilograms): number {
  within('beer', beer, 'L', 0, 1000);
  within('steel', steel, 'kg', 0, 500);
  return beer * BEER_KG_PER_L * BEER_KJ_PER_KG_K + steel * STEEL_KJ_PER_KG_K;
}

/**
 * Surface of an upright cylinder, side and both ends (m²).
 * @source geometry: π d h + π d²/2
 */
export function kegSurface(diameter: Metres, height: Metres): SquareMetres {
  within('diameter', diameter, 'm', 0.05, 2);
  within('height', height, 'm', 0.05, 3);
  return squareMetres(Math.PI * diameter * height + (Math.PI * diameter ** 2) / 2);
}

/**
 * Time constant of a keg in still or moving air (s): heat capacity over heat transfer. `wPerM2K` is 5 to 10 in a
 * fridge without a fan, a guess that decides everything: measure instead where you can.
 * @source Incropera and DeWitt, chapter 5: τ = m c/(h A); h in free convection 5 to 10 W/(m²·K), from memory
 */
export function coolingTimeConstant(heatCapacityKjPerK: number, surface: SquareMetres, wPerM2K: number): Seconds {
  within('heat capacity', heatCapacityKjPerK, 'kJ/K', 0.1, 10_000);
  within('surface', surface, 'm2', 0.01, 20);
  within('heat transfer', wPerM2K, 'W/(m2.K)', 0.5, 1000);
  return seconds((heatCapacityKjPerK * 1000) / (surface * wPerM2K));
}
