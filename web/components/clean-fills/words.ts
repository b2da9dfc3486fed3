import type { CleanFills } from '../../../src/contract/learning.ts';

type Share = CleanFills['all'];

export const FACTOR_WORD: Readonly<Record<CleanFills['factors'][0]['name'], string>> = {
  temperature: 'temperature',
  pressure: 'pressure',
  carbonation: 'carbonation',
  rest: 'hours at rest',
};

/** "3 to 9 in 100 foam" */
export function shareWords({ low, high }: Pick<Share, 'low' | 'high'>): string {
  return `${Math.round(low * 100)} to ${Math.round(high * 100)} in 100 foam`;
}

/** "5 of 96 bottles in 6 fills foamed" */
export function countedWords({ fills, bottles, foamy }: Share): string {
  return `${foamy} of ${bottles} bottles in ${fills} ${fills === 1 ? 'fill' : 'fills'} foamed`;
}

/** Which fills do not count, and why; null where all do. */
export function leftOutWords({ otherLineFills, unheardFills }: CleanFills): string | null {
  const parts = [
    otherLineFills > 0 ? `${otherLineFills} over another line` : null,
    unheardFills > 0 ? `${unheardFills} without temperature or pressure` : null,
  ].filter((part) => part !== null);
  return parts.length === 0 ? null : `Fills that do not count: ${parts.join(', ')}.`;
}
