/** CO2 in its cylinder. While liquid is left, the gauge shows the temperature and not the content: weigh it. */
import { within } from './range.ts';
import {
  type Celsius,
  type Kilograms,
  type KilogramsPerCubicMetre,
  type KpaAbsolute,
  kilograms,
  kilogramsPerCubicMetre,
  kpaAbsolute,
  type Litres,
  toKelvin,
} from './units.ts';

/** Critical temperature. @source Span and Wagner 1996: 304.1282 K */
const CRITICAL_K = 304.1282;
/** Critical pressure. @source Span and Wagner 1996: 7377.3 kPa */
const CRITICAL_KPA = 7377.3;
/** Critical density. @source Span and Wagner 1996: 467.6 kg/m³ */
const CRITICAL_KG_PER_M3 = 467.6;

/** Distance to the critical point (0 there). Published tables check −20 to 30 °C. */
function reduced(temperature: Celsius): number {
  within('CO2 temperature', temperature, 'Cel', -50, 30.97);
  return 1 - toKelvin(temperature) / CRITICAL_K;
}

/**
 * Vapour pressure of liquid CO2 (kPa absolute; −50 to 30.97 °C; there is no liquid above 30.98 °C).
 * @source Span and Wagner 1996, J. Phys. Chem. Ref. Data 25, 1509, eq. 3.13
 */
export function co2VapourPressure(temperature: Celsius): KpaAbsolute {
  const x = reduced(temperature);
  const terms = -7.0602087 * x + 1.9391218 * x ** 1.5 - 1.6463597 * x ** 2 - 3.2995634 * x ** 4;
  return kpaAbsolute(CRITICAL_KPA * Math.exp(terms / (1 - x)));
}

/**
 * Density of CO2 liquid in equilibrium with its vapour (kg/m³; −50 to 30.97 °C).
 * @source Span and Wagner 1996, eq. 3.14
 */
export function co2LiquidDensity(temperature: Celsius): KilogramsPerCubicMetre {
  const x = reduced(temperature);
  const terms = 1.9245108 * x ** 0.34 - 0.62385555 * x ** 0.5 - 0.32731127 * x ** (10 / 6) + 0.39245142 * x ** (11 / 6);
  return kilogramsPerCubicMetre(CRITICAL_KG_PER_M3 * Math.exp(terms));
}

/**
 * Density of CO2 vapour in equilibrium with its liquid (kg/m³; −50 to 30.97 °C).
 * @source Span and Wagner 1996, eq. 3.15, coefficients from memory
 */
export function co2VapourDensity(temperature: Celsius): KilogramsPerCubicMetre {
  const x = reduced(temperature);
  const terms =
    -1.7074879 * x ** 0.34 -
    0.8227467 * x ** 0.5 -
    4.6008549 * x -
    10.111178 * x ** (7 / 3) -
    29.742252 * x ** (14 / 3);
  return kilogramsPerCubicMetre(CRITICAL_KG_PER_M3 * Math.exp(terms));
}

/**
 * CO2 in a cylinder from its weight and the tare stamped on it (kg; never below 0 by more than a scale's error, 0.1 kg).
 * @source weighing
 */
export function cylinderContent(gross: Kilograms, tare: Kilograms): Kilograms {
  within('tare', tare, 'kg', 0, 500);
  within('weight', gross, 'kg', tare - 0.1, 1000);
  return kilograms(Math.max(0, gross - tare));
}

export type CylinderState =
  | { readonly kind: 'liquid-and-gas'; readonly pressure: KpaAbsolute; readonly liquid: Kilograms }
  /** No liquid left: from here the pressure falls with the content, and soon it is empty. */
  | { readonly kind: 'gas-only'; readonly pressureBelow: KpaAbsolute }
  /** Liquid would fill it: dangerous, an overfilled or overheated cylinder. */
  | { readonly kind: 'overfull' };

/**
 * What a cylinder of a size holds at a temperature (content 0 to 500 kg, size 0.1 to 200 L; −50 to 30.97 °C).
 * @source two-phase equilibrium with the densities of Span and Wagner 1996
 */
export function cylinderState(content: Kilograms, size: Litres, temperature: Celsius): CylinderState {
  within('content', content, 'kg', 0, 500);
  within('size of the cylinder', size, 'L', 0.1, 200);
  const liquid = co2LiquidDensity(temperature) / 1000;
  const vapour = co2VapourDensity(temperature) / 1000;
  const pressure = co2VapourPressure(temperature);
  if (content <= vapour * size) return { kind: 'gas-only', pressureBelow: pressure };
  if (content >= liquid * size) return { kind: 'overfull' };
  // Lever rule: what is above a cylinder full of vapour makes liquid.
  const liquidL = (content - vapour * size) / (liquid - vapour);
  return { kind: 'liquid-and-gas', pressure, liquid: kilograms(liquidL * liquid) };
}
