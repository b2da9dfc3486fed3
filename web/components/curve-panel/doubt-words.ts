import type { Units } from '../../../src/contract/catalogue.ts';
import type { DoubtedValue } from '../../../src/contract/curve.ts';
import { digits, temperature } from '../../format/numbers.ts';
import { clockTime } from '../../format/times.ts';
import type { Doubted } from './read-curve.ts';

const SAID_MOST = 3;

const OF_WHAT: Readonly<Partial<Record<DoubtedValue['quantity'], string>>> = {
  'beer-temperature': 'beer',
  'air-temperature': 'air in the fridge',
  'ambient-pressure': 'air pressure',
};

export const ofWhat = ({ quantity }: Doubted): string => OF_WHAT[quantity] ?? quantity;

/** The value as it was said, in the reader's units. */
export function doubtedText({ quantity, value }: Doubted, units: Units): string {
  return quantity === 'ambient-pressure' ? `${digits(value, 1)}\u00a0kPa` : temperature(value, units);
}

interface Told {
  readonly units: Units;
  readonly zone: string;
  readonly nowMs: number;
}

/** The newest few values that were not believed, and why; null if there are none. */
export function doubtSentence(doubted: readonly Doubted[], { units, zone, nowMs }: Told): string | null {
  if (doubted.length === 0) return null;
  const newest = doubted.toSorted((a, b) => b.atMs - a.atMs).slice(0, SAID_MOST);
  const said = newest.map((one) => `${ofWhat(one)} ${doubtedText(one, units)} at ${clockTime(one.atMs, nowMs, zone)}`);
  const left = doubted.length - newest.length;
  const more = left === 0 ? '' : ` And ${left} more: see the table.`;
  const rings = doubted.some(({ quantity }) => quantity === 'beer-temperature')
    ? ' Open rings on the temperature are such values of the beer.'
    : '';
  return `Not believed, because nothing changes so fast: ${said.join('; ')}.${more}${rings}`;
}
