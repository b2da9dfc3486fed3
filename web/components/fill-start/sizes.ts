import type { Units } from '../../../src/contract/catalogue.ts';
import { digits, volumeFromL } from '../../format/numbers.ts';
import { numberFrom } from '../form/field.tsx';

/** Usual bottles (L), the commonest first. */
export const USUAL_SIZES_L: readonly number[] = [0.5, 0.33, 0.75, 1];
/** US fluid ounces in a litre. @source NIST SP 811, appendix B: 29.573 53 mL each */
const OUNCES_PER_L = 1000 / 29.57353;

/** "0.5 L" or "16.9 fl oz". */
export function bottleSize(sizeL: number, units: Units): string {
  if (units.volume === '[gal_us]') return `${digits(sizeL * OUNCES_PER_L, 1).replace(/\.0$/, '')}\u00a0fl\u00a0oz`;
  return `${digits(volumeFromL(sizeL, units), 2).replace(/0$/, '')}\u00a0L`;
}

export interface SizeRow {
  readonly count: string;
  readonly sizeL: number;
}

/** The rows as a plan; rows without a whole number of bottles are left out. */
export function plannedOf(rows: readonly SizeRow[]): { readonly count: number; readonly sizeL: number }[] {
  return rows.flatMap(({ count, sizeL }) => {
    const number = numberFrom(count);
    return number === null || !Number.isInteger(number) || number < 1 || number > 500 ? [] : { count: number, sizeL };
  });
}

/** The size that the plan wants next: the first of which not all are filled, else the last one. */
export function nextSizeOf(
  planned: readonly { readonly count: number; readonly sizeL: number }[],
  bottles: readonly { readonly sizeL: number }[],
): number {
  const open = planned.find(({ count, sizeL }) => bottles.filter((bottle) => bottle.sizeL === sizeL).length < count);
  return open?.sizeL ?? planned.at(-1)?.sizeL ?? bottles.at(-1)?.sizeL ?? (USUAL_SIZES_L[0] as number);
}
