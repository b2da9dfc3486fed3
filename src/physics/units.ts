/**
 * Unit types and conversion by UCUM code.
 *
 * A branded number cannot be passed where another unit is due. Brands exist at compile time only: at run time all of
 * these are plain numbers, so the arithmetic costs nothing.
 *
 * @source The Unified Code for Units of Measure, ucum-essence.xml 2.2 (2024): codes and definitions
 */

import { finite, within } from './range.ts';

declare const unit: unique symbol;
type Unit<Name extends string> = number & { readonly [unit]: Name };
export type Celsius = Unit<'Cel'>;
export type Kelvin = Unit<'K'>;
export type KpaGauge = Unit<'kPa gauge'>;
export type KpaAbsolute = Unit<'kPa absolute'>;
export type Volumes = Unit<'L CO2 at 0 Cel and 101.325 kPa per L beer'>;
export type GramsPerLitre = Unit<'g/L'>;
export type Metres = Unit<'m'>;
export type SquareMetres = Unit<'m2'>;
export type Litres = Unit<'L'>;
export type Kilograms = Unit<'kg'>;
export type Moles = Unit<'mol'>;
export type Seconds = Unit<'s'>;
export type MetresPerSecond = Unit<'m/s'>;
export type LitresPerSecond = Unit<'L/s'>;
export type KilogramsPerCubicMetre = Unit<'kg/m3'>;

export const celsius = (value: number): Celsius => value as Celsius;
export const kelvin = (value: number): Kelvin => value as Kelvin;
export const kpaGauge = (value: number): KpaGauge => value as KpaGauge;
export const kpaAbsolute = (value: number): KpaAbsolute => value as KpaAbsolute;
export const volumes = (value: number): Volumes => value as Volumes;
export const gramsPerLitre = (value: number): GramsPerLitre => value as GramsPerLitre;
export const metres = (value: number): Metres => value as Metres;
export const squareMetres = (value: number): SquareMetres => value as SquareMetres;
export const litres = (value: number): Litres => value as Litres;
export const kilograms = (value: number): Kilograms => value as Kilograms;
export const moles = (value: number): Moles => value as Moles;
export const seconds = (value: number): Seconds => value as Seconds;
export const metresPerSecond = (value: number): MetresPerSecond => value as MetresPerSecond;
export const litresPerSecond = (value: number): LitresPerSecond => value as LitresPerSecond;
export const kilogramsPerCubicMetre = (value: number): KilogramsPerCubicMetre => value as KilogramsPerCubicMetre;

/** One standard atmosphere, exact by definition (kPa). @source CGPM 1954, resolution 4 */
export const STANDARD_ATMOSPHERE_KPA = 101.325;

/** Pascal in one pound-force per square inch. @source NIST SP 811, appendix B (rounded from lbf/in²) */
const PA_PER_PSI = 6894.757293168;

/** Conventional millimetre of mercury (Pa). UCUM rounds it to 133.322. @source handbook conversion table, 0.133322387 kPa */
const PA_PER_MMHG = 133.322387415;

export type Dimension = 'temperature' | 'pressure' | 'mass' | 'ratio' | 'volume' | 'length' | 'duration';

/** `base = (value + offset) * factor`; bases are °C, kPa, kg, ppm, L, m and s. */
interface UnitRule {
  readonly dimension: Dimension;
  readonly factor: number;
  readonly offset: number;
}

/** @source UCUM; [lb_av], [in_i], [ft_i], [gal_us] and [foz_us] are exact by definition (NIST SP 811, appendix B) */
const RULES: ReadonlyMap<string, UnitRule> = new Map([
  ['Cel', { dimension: 'temperature', factor: 1, offset: 0 }],
  ['K', { dimension: 'temperature', factor: 1, offset: -273.15 }],
  ['[degF]', { dimension: 'temperature', factor: 5 / 9, offset: -32 }],
  ['kPa', { dimension: 'pressure', factor: 1, offset: 0 }],
  ['Pa', { dimension: 'pressure', factor: 1e-3, offset: 0 }],
  ['bar', { dimension: 'pressure', factor: 100, offset: 0 }],
  ['mbar', { dimension: 'pressure', factor: 0.1, offset: 0 }],
  ['[psi]', { dimension: 'pressure', factor: PA_PER_PSI / 1000, offset: 0 }],
  ['MPa', { dimension: 'pressure', factor: 1000, offset: 0 }],
  ['hPa', { dimension: 'pressure', factor: 0.1, offset: 0 }],
  ['atm', { dimension: 'pressure', factor: STANDARD_ATMOSPHERE_KPA, offset: 0 }],
  ['mm[Hg]', { dimension: 'pressure', factor: PA_PER_MMHG / 1000, offset: 0 }],
  ['kg', { dimension: 'mass', factor: 1, offset: 0 }],
  ['g', { dimension: 'mass', factor: 1e-3, offset: 0 }],
  ['[lb_av]', { dimension: 'mass', factor: 0.45359237, offset: 0 }],
  ['[oz_av]', { dimension: 'mass', factor: 0.45359237 / 16, offset: 0 }],
  ['[ppm]', { dimension: 'ratio', factor: 1, offset: 0 }],
  ['%', { dimension: 'ratio', factor: 1e4, offset: 0 }],
  ['L', { dimension: 'volume', factor: 1, offset: 0 }],
  ['mL', { dimension: 'volume', factor: 1e-3, offset: 0 }],
  ['hL', { dimension: 'volume', factor: 100, offset: 0 }],
  ['m3', { dimension: 'volume', factor: 1000, offset: 0 }],
  ['[gal_us]', { dimension: 'volume', factor: 3.785411784, offset: 0 }],
  ['[foz_us]', { dimension: 'volume', factor: 0.0295735295625, offset: 0 }],
  ['m', { dimension: 'length', factor: 1, offset: 0 }],
  ['cm', { dimension: 'length', factor: 0.01, offset: 0 }],
  ['mm', { dimension: 'length', factor: 1e-3, offset: 0 }],
  ['[in_i]', { dimension: 'length', factor: 0.0254, offset: 0 }],
  ['[ft_i]', { dimension: 'length', factor: 0.3048, offset: 0 }],
  ['s', { dimension: 'duration', factor: 1, offset: 0 }],
  ['min', { dimension: 'duration', factor: 60, offset: 0 }],
  ['h', { dimension: 'duration', factor: 3600, offset: 0 }],
  ['d', { dimension: 'duration', factor: 86_400, offset: 0 }],
]);

/** The base unit of each dimension: what `toBaseUnit` returns. */
export const BASE_UNIT: Readonly<Record<Dimension, string>> = {
  temperature: 'Cel',
  pressure: 'kPa',
  mass: 'kg',
  ratio: '[ppm]',
  volume: 'L',
  length: 'm',
  duration: 's',
};

/** Thrown for a unit code that is unknown, or of another dimension than the value it should convert to. */
export class UnitError extends Error {
  override readonly name = 'UnitError';
}

/**
 * The dimension of a UCUM code that we know, or null.
 * @source UCUM, `ucum-essence.xml` 2.2
 */
export function dimensionOf(ucumCode: string): Dimension | null {
  return RULES.get(ucumCode)?.dimension ?? null;
}

/**
 * All UCUM codes accepted for a dimension, base unit first.
 * @source UCUM, `ucum-essence.xml` 2.2
 */
export function unitsOf(dimension: Dimension): readonly string[] {
  return [...RULES].filter(([, rule]) => rule.dimension === dimension).map(([code]) => code);
}

function ruleFor(ucumCode: string): UnitRule {
  const rule = RULES.get(ucumCode);
  if (rule === undefined) throw new UnitError(`unknown unit ${ucumCode}; known are ${[...RULES.keys()].join(', ')}`);
  return rule;
}

/**
 * Converts to the base unit of the code's dimension (°C, kPa, kg, ppm, L, m, s).
 * Throws `UnitError` for an unknown code, `PhysicsRangeError` for a value or result that is not finite.
 * @source UCUM, `ucum-essence.xml` 2.2; NIST SP 811, appendix B
 */
export function toBaseUnit(value: number, ucumCode: string): number {
  const rule = ruleFor(ucumCode);
  return finite('value to convert', (value + rule.offset) * rule.factor, BASE_UNIT[rule.dimension]);
}

/**
 * Converts from the base unit of the code's dimension. Throws as `toBaseUnit`.
 * @source as `toBaseUnit`
 */
export function fromBaseUnit(value: number, ucumCode: string): number {
  const rule = ruleFor(ucumCode);
  return finite('converted value', value / rule.factor - rule.offset, ucumCode);
}

/**
 * Converts between two codes of one dimension. Throws `UnitError` if either is unknown or the dimensions differ,
 * `PhysicsRangeError` for a value or result that is not finite.
 * @source as `toBaseUnit`
 */
export function convert(value: number, fromCode: string, toCode: string): number {
  const from = ruleFor(fromCode);
  const to = ruleFor(toCode);
  if (from.dimension !== to.dimension) {
    throw new UnitError(`${fromCode} is a ${from.dimension}, ${toCode} a ${to.dimension}`);
  }
  return fromBaseUnit(toBaseUnit(value, fromCode), toCode);
}

/**
 * Absolute from gauge pressure and the local air pressure, all kPa. A gauge shows the difference to the air around it.
 * @source definition of gauge pressure (NIST SP 811, 4.3.4)
 */
export function toAbsolute(gauge: KpaGauge, ambient: KpaAbsolute): KpaAbsolute {
  return kpaAbsolute(finite('absolute pressure', gauge + ambient, 'kPa'));
}

/**
 * Gauge from absolute pressure and the local air pressure, all kPa.
 * @source as `toAbsolute`
 */
export function toGauge(absolute: KpaAbsolute, ambient: KpaAbsolute): KpaGauge {
  return kpaGauge(finite('gauge pressure', absolute - ambient, 'kPa'));
}

/**
 * A pressure in any known unit, as read against air or against vacuum, as kPa absolute (0 or more).
 * Throws `UnitError` if the code is no pressure, `PhysicsRangeError` below vacuum.
 * @source as `toAbsolute` and `toBaseUnit`
 */
export function pressureToAbsolute(
  value: number,
  ucumCode: string,
  reference: 'gauge' | 'absolute',
  ambient: KpaAbsolute,
): KpaAbsolute {
  const kpa = convert(value, ucumCode, 'kPa');
  const absolute = reference === 'gauge' ? toAbsolute(kpaGauge(kpa), ambient) : kpaAbsolute(kpa);
  return within('absolute pressure', absolute, 'kPa', 0, Number.MAX_VALUE);
}

/**
 * From °C to K (−273.15 °C or more).
 * @source definition of the degree Celsius, T/K = t/°C + 273.15
 */
export function toKelvin(temperature: Celsius): Kelvin {
  return kelvin(within('temperature', temperature, 'Cel', -273.15, Number.MAX_VALUE) + 273.15);
}
