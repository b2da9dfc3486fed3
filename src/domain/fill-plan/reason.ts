import { at } from '../estimate/cloud.ts';
import { carbonationFigures, carbonationWords, temperatureWords } from '../words.ts';
import { bottleCount } from './bottles.ts';
import type { Needs } from './needs.ts';
import type { PlanBasis } from './types.ts';
import type { Ways } from './ways.ts';

const HOUR_MS = 3_600_000;

export interface Finding {
  readonly basis: PlanBasis;
  readonly ways: Ways;
  readonly needs: Needs;
  readonly possible: boolean;
  readonly probability: number;
  readonly passed: boolean;
  readonly enough: boolean;
  /** The first later hour that is possible; null: none was found, or looked for. */
  readonly later: number | null;
}

/** Whether the hour can be met and what it hangs on, in plain words. Says what is possible where it is not. */
export function reasonOf(finding: Finding): string {
  const { basis, needs, possible, probability, passed, enough } = finding;
  if (passed) return 'That hour is over. Choose one to come.';
  if (!enough) {
    const left = Number(needs.beerLeftL).toFixed(1);
    return `The keg holds ${left}\u00a0L. ${bottleCount(basis.bottles)} bottles with line and foam take ${needs.beerL.toFixed(1)}\u00a0L: plan fewer.`;
  }
  if (possible) return `${likelyWords(probability)} ${openWords(finding)}`.trim();
  return `${whyNot(finding)} ${instead(finding)}`.trim();
}

/** "Very likely: 19 times in 20." */
export function likelyWords(probability: number): string {
  if (probability >= 0.94) return 'Very likely: 19 times in 20.';
  if (probability >= 0.85) return 'Likely: nine times in ten.';
  if (probability >= 0.7) return 'Likely: four times in five.';
  if (probability >= 0.58) return 'Rather likely: two times in three.';
  return probability >= 0.5 ? 'As likely as not.' : 'Not likely.';
}

function openWords({ ways }: Finding): string {
  const { gas } = ways;
  if (gas.check !== null) return 'It takes a gas check on the way, and the plan follows from what it finds.';
  if (gas.gentle) return 'It is held a little low until the day, so that it does not pass its window.';
  if (gas.quick !== null) return 'It takes a higher pressure for a while. Turn it down in time.';
  return 'Time does most of it.';
}

function whyNot({ basis, ways }: Finding): string {
  const { facts, dissolved, units, fillAtMs, nowMs } = basis;
  const { cold, restMissingH, gas } = ways;
  const { low, high, celsius } = facts.target;
  if (!cold.safe)
    return `This beer may freeze before it is at ${temperatureWords(celsius, units)}: wish for a warmer fill.`;
  if (restMissingH > 0)
    return `The keg was ${facts.rest?.after ?? 'moved'} too lately: it needs ${Math.ceil(restMissingH)}\u00a0h more of rest by then.`;
  if (dissolved.low > high) {
    return `The beer is past its window with ${carbonationFigures(dissolved.low, units)} to ${carbonationWords(dissolved.high, units)}. Close the gas and vent a little at a time over a day at least, let it rest for 12\u00a0h, and make a gas check.`;
  }
  const hours = (fillAtMs - nowMs) / HOUR_MS;
  if (cold.probability < gas.probability) {
    return cold.coldIn.hours > hours
      ? 'The beer is not cold enough by then.'
      : 'Whether the beer is cold enough by then is doubtful.';
  }
  const most = at(gas.atHour.toSorted(), Math.floor(0.95 * gas.atHour.length));
  if (most < low)
    return `By then the beer holds no more than ${carbonationWords(most, units)}; it is filled from ${carbonationWords(low, units)} on.`;
  return 'What is in the beer by then cannot be made sure enough of.';
}

function instead({ basis, later, ways }: Finding): string {
  const { othersOnGas, mayCheck } = basis;
  const words: string[] = [];
  if (later !== null) {
    const hours = Math.round((later - basis.fillAtMs) / HOUR_MS);
    words.push(`${hours < 48 ? `${hours}\u00a0h` : `${Math.round(hours / 24)} days`} later it is possible.`);
  } else if (ways.cold.safe && basis.dissolved.low <= basis.facts.target.high) {
    words.push('No hour of the next ten days is surer as things are.');
  }
  if (othersOnGas.length > 0)
    words.push(`With a regulator of its own it could be quicker; the same gas feeds ${othersOnGas.join(', ')}.`);
  if (!mayCheck) words.push('With a pressure probe a gas check could tell more.');
  return words.join(' ');
}
