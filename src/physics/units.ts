/**
 * Unit types and conversion by UCUM code.
 *
 * A branded number cannot be passed where another unit is due. Brands exist at compile time only: at run time all of
 * these are plain numbers, so the arithmetic costs nothing.
 *
 * @source The Unified Code for Units of Measure, ucum-essence.xml 2.2 (2024): codes and definitions
 */

declare const unit: unique symbol;
export type Celsius = number & { readonly [unit]: 'Cel' };
export type Kelvin = number & { readonly [unit]: 'K' };
export type KpaGauge = number & { readonly [unit]: 'kPa gauge' };
export type KpaAbsolute = number & { readonly [unit]: 'kPa absolute' };
export type Volumes = number & { readonly [unit]: 'L CO2 at 0 Cel and 101.325 kPa per L beer' };
export type GramsPerLitre = number & { readonly [unit]: 'g/L' };
export type Metres = number & { readonly [unit]: 'm' };

export const celsius = (value: number): Celsius => value as Celsius;
export const kelvin = (value: number): Kelvin => value as Kelvin;
export const kpaGauge = (value: number): KpaGauge => value as KpaGauge;
export const kpaAbsolute = (value: number): KpaAbsolute => value as KpaAbsolute;
export const volumes = (value: number): Volumes => value as Volumes;
export const gramsPerLitre = (value: number): GramsPerLitre => value as GramsPerLitre;
export const metres = (value: number): Metres => value as Metres;

/** One standard atmosphere, exact by definition (kPa). @source CGPM 1954, resolution 4 */
export const STANDARD_ATMOSPHERE_KPA = 101.325;

/** Pascal in one pound-force per square inch. @source NIST SP 811, appendix B (rounded from lbf/in²) */
const PA_PER_PSI = 6894.757293168;

export type Dimension = 'temperature' | 'pressure' | 'mass' | 'ratio' | 'volume' | 'length';

/** `base = (value + offset) * factor`; bases are °C, kPa, kg, ppm, L and m. */
interface UnitRule {
  readonly dimension: Dimension;
  readonly factor: number;
  readonly offset: number;
}

const RULES: ReadonlyMap<string, UnitRule> = new Map([
  ['Cel', { dimension: 'temperature', factor: 1, offset: 0 }],
  ['K', { dimension: 'temperature', factor: 1, offset: -273.15 }],
  ['[degF]', { dimension: 'temperature', factor: 5 / 9, offset: -32 }],
  ['kPa', { dimension: 'pressure', factor: 1, offset: 0 }],
  ['Pa', { dimension: 'pressure', factor: 1e-3, offset: 0 }],
  ['bar', { dimension: 'pressure', factor: 100, offset: 0 }],
  ['mbar', { dimension: 'pressure', factor: 0.1, offset: 0 }],
  ['[psi]', { dimension: 'pressure', factor: PA_PER_PSI / 1000, offset: 0 }],
  ['kg', { dimension: 'mass', factor: 1, offset: 0 }],
  ['g', { dimension: 'mass', factor: 1e-3, offset: 0 }],
  ['[lb_av]', { dimension: 'mass', factor: 0.45359237, offset: 0 }],
  ['[ppm]', { dimension: 'ratio', factor: 1, offset: 0 }],
  ['L', { dimension: 'volume', factor: 1, offset: 0 }],
  ['mL', { dimension: 'volume', factor: 1e-3, offset: 0 }],
  ['m', { dimension: 'length', factor: 1, offset: 0 }],
  ['[ft_i]', { dimension: 'length', factor: 0.3048, offset: 0 }],
]);

/** The base unit of each dimension: what `toBaseUnit` returns. */
export const BASE_UNIT: Readonly<Record<Dimension, string>> = {
  temperature: 'Cel',
  pressure: 'kPa',
  mass: 'kg',
  ratio: '[ppm]',
  volume: 'L',
  length: 'm',
};

/** The dimension of a UCUM code that we know, or null. */
export function dimensionOf(ucumCode: string): Dimension | null {
  return RULES.get(ucumCode)?.dimension ?? null;
}

/** All UCUM codes accepted for a dimension, base unit first. */
export function unitsOf(dimension: Dimension): readonly string[] {
  return [...RULES].filter(([, rule]) => rule.dimension === dimension).map(([code]) => code);
}

function ruleFor(ucumCode: string): UnitRule {
  const rule = RULES.get(ucumCode);
  if (rule === undefined) throw new UnitError(`unknown unit ${ucumCode}; known are ${[...RULES.keys()].join(', ')}`);
  return rule;
}

/** Thrown for a unit code that is unknown, or of another dimension than the value it should convert to. */
export class UnitError extends Error {
  override readonly name = 'UnitError';
}

/** Converts to the base unit of the code's dimension (°C, kPa, kg, ppm, L, m). Throws `UnitError` for an unknown code. */
export function toBaseUnit(value: number, ucumCode: string): number {
  const rule = ruleFor(ucumCode);
  return (value + rule.offset) * rule.factor;
}

/** Converts from the base unit of the code's dimension. Throws `UnitError` for an unknown code. */
export function fromBaseUnit(value: number, ucumCode: string): number {
  const rule = ruleFor(ucumCode);
  return value / rule.factor - rule.offset;
}

/** Converts between two codes of one dimension. Throws `UnitError` if either is unknown or the dimensions differ. */
export function convert(value: number, fromCode: string, toCode: string): number {
  const from = ruleFor(fromCode);
  const to = ruleFor(toCode);
  if (from.dimension !== to.dimension) {
    throw new UnitError(`${fromCode} is a ${from.dimension}, ${toCode} a ${to.dimension}`);
  }
  return fromBaseUnit(toBaseUnit(value, fromCode), toCode);
}

/** Absolute from gauge pressure and the local air pressure, all kPa. */
export function toAbsolute(gauge: KpaGauge, ambient: KpaAbsolute): KpaAbsolute {
  return kpaAbsolute(gauge + ambient);
}

/** Gauge from absolute pressure and the local air pressure, all kPa. */
export function toGauge(absolute: KpaAbsolute, ambient: KpaAbsolute): KpaGauge {
  return kpaGauge(absolute - ambient);
}
