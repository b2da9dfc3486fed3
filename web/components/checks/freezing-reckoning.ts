import type { Units } from '../../../src/contract/catalogue.ts';
import type { Check, KegState } from '../../../src/contract/state.ts';
import { beerFreezingPoint } from '../../../src/physics/freezing.ts';
import { digits, temperature, temperatureDifference } from '../../format/numbers.ts';
import { JUDGED_BY, type Reckoning } from './reckoned.ts';

/** Where a beer of this alcohol begins to freeze, with its figures. @source as `physics/freezing` */
export function freezingReckoning(check: Check, { abvPercent }: KegState, units: Units): Reckoning {
  const { wantedLow: limitC, measured } = check;
  if (limitC === null || typeof measured !== 'number') return { inputs: [], lines: [], change: [] };
  const abv = abvPercent ?? JUDGED_BY.assumedAbvPercent;
  const freezesC = beerFreezingPoint(abv);
  const moles = (abv * 10 * 0.7893) / 46.068;
  const waterKg = ((1000 - moles * 55.1) * 0.9982) / 1000;
  const room = measured - limitC;
  return {
    inputs: [
      ['Beer', temperature(measured, units)],
      ['Alcohol', `${digits(abv, 1)} % by volume${abvPercent === null ? ', assumed: none was entered' : ''}`],
    ],
    lines: [
      'Freezing point in °C: −1.86 × moles of alcohol per kg of water. In a litre: moles = alcohol × 10 × 0.7893 / 46.068; kg of water = (1000 − moles × 55.1) × 0.9982 / 1000.',
      `moles = ${digits(abv, 1)} × 10 × 0.7893 / 46.068 = ${digits(moles, 3)}; kg of water = ${digits(waterKg, 3)}.`,
      `−1.86 × ${digits(moles, 3)} / ${digits(waterKg, 3)} = ${digits(freezesC, 2)} °C. It passes from ${temperatureDifference(limitC - freezesC, units)} above that: ${temperature(limitC, units)}.`,
    ],
    change: [
      room >= 0
        ? `Beer colder by more than ${temperatureDifference(room, units)}.`
        : `Beer warmer by ${temperatureDifference(-room, units)}.`,
    ],
  };
}
