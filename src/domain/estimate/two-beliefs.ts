/** What is said of a number where two beliefs are held at once: nine times in ten between the ends of the mixture. */
import { normalCdf } from '../fill/clean-learning.ts';

/** A belief of a number, with its own spread either side of the middle. */
export interface Lopsided {
  readonly middle: number;
  /** Standard deviation below the middle, and above it. */
  readonly low: number;
  readonly high: number;
  /** Share of it in what is believed; all together one. */
  readonly share: number;
}

export interface Ends {
  readonly middle: number;
  readonly low: number;
  readonly high: number;
}

/** Halvings of the span in which a quantile lies: from days to a fraction of a second. */
const HALVINGS = 48;
const SPANS = 6;

/** Median, 5 % and 95 % of a mixture. */
export function endsOf(parts: readonly Lopsided[]): Ends {
  return { middle: quantile(parts, 0.5), low: quantile(parts, 0.05), high: quantile(parts, 0.95) };
}

function quantile(parts: readonly Lopsided[], share: number): number {
  let below = Math.min(...parts.map(({ middle, low }) => middle - SPANS * low));
  let above = Math.max(...parts.map(({ middle, high }) => middle + SPANS * high));
  for (let round = 0; round < HALVINGS; round += 1) {
    const between = (below + above) / 2;
    if (shareBelow(parts, between) < share) below = between;
    else above = between;
  }
  return (below + above) / 2;
}

function shareBelow(parts: readonly Lopsided[], value: number): number {
  return parts.reduce((sum, { middle, low, high, share }) => {
    const spread = Math.max(1e-9, value < middle ? low : high);
    return sum + share * normalCdf((value - middle) / spread);
  }, 0);
}
