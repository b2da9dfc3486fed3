import type { Units } from '../../../src/contract/catalogue.ts';
import type { Check, CheckName } from '../../../src/contract/state.ts';
import {
  carbonationDifference,
  measure,
  pressure,
  pressureChange,
  temperatureDifference,
} from '../../format/numbers.ts';

/** What a check measured and wants, and by how much it passes or does not. Pure. */
export function shown(check: Check, value: Check['measured'], units: Units): string {
  // A margin is a difference of temperatures: the scale's offset must not be added to it.
  if (check.name === 'freezing-margin' && typeof value === 'number' && check.unit === 'Cel') {
    return temperatureDifference(value, units);
  }
  return value === null ? 'not known' : measure(value, check.unit, units);
}

/** The limits in the reader's units where they are numbers, else what the service says; null if nothing is wanted. */
export function wantedText(check: Check, units: Units): string | null {
  const { wantedLow: low, wantedHigh: high } = check;
  if (low !== null && high !== null) return rangeOf(shown(check, low, units), shown(check, high, units));
  if (low !== null) return `at least ${shown(check, low, units)}`;
  if (high !== null) return `at most ${shown(check, typeof check.wanted === 'number' ? check.wanted : high, units)}`;
  if (check.wanted === null) return null;
  return shown(check, check.wanted, units);
}

/** "2.00 to 2.50 volumes": a unit that both share is said once. */
function rangeOf(low: string, high: string): string {
  const unit = high.slice(high.indexOf('\u00a0'));
  return `${unit !== high && low.endsWith(unit) ? low.slice(0, -unit.length) : low} to ${high}`;
}

/** What each check is for: whoever sets its limits, or does without it, should know. */
export const CHECK_PURPOSE: Readonly<Record<CheckName, string>> = {
  carbonation: 'Below its window beer is dull, past it the bottles gush. It passes once it is very likely inside.',
  'overcarbonation-risk': 'It looks ahead: beer that is right now must still be right when the last bottle is full.',
  cold: 'Cold beer holds its gas, warm beer foams.',
  'freezing-margin': 'Freezing beer bursts what it is in. The more alcohol, the colder it may be.',
  'serving-pressure': 'Too low, and the gas breaks out in the line. Too high, and it pours too fast and foams.',
  steady: 'While pressure or temperature move, what is measured says little of what is in the beer.',
  'at-rest': 'Beer that was moved, shaken or vented foams until it has settled.',
  'probes-fresh': 'An old value says nothing of now.',
  'purge-pressure': 'Bottles are purged of air before beer goes in: air makes it stale.',
  'bottles-cold': 'In a warm bottle the beer foams.',
  'gas-supply': 'The gas must last until the bottles are full.',
  'beer-left': 'So that the last bottle does not end in foam.',
};

/** Why a check stands as it does: from what it measured and wants, then what it is for. */
export function whySentences(check: Check, units: Units): string[] {
  const wanted = wantedText(check, units);
  const is =
    check.measured === null ? 'Nothing is known of it now' : `Measured: ${shown(check, check.measured, units)}`;
  const wants = wanted === null ? '' : `; wanted: ${wanted}${toleranceWords(check, units)}`;
  const margin = marginSentence(check, units);
  return [`${is}${wants}.`, ...(margin === '' ? [] : [margin]), CHECK_PURPOSE[check.name]];
}

/** What still counts, where that is more than what is wished. */
function toleranceWords(check: Check, units: Units): string {
  const { wanted, wantedHigh } = check;
  if (typeof wanted !== 'number' || wantedHigh === null || wanted === wantedHigh) return '';
  return ` (up to ${shown(check, wantedHigh, units)} counts)`;
}

/** By how much a number is inside its limits or outside; empty where there is no number to tell by. */
export function marginSentence(check: Check, units: Units): string {
  const { measured, wantedLow: low, wantedHigh: high, state } = check;
  if (typeof measured !== 'number' || (low === null && high === null)) return '';
  const by = (value: number): string => difference(check, Math.abs(value), units);
  const outside =
    high !== null && measured > high
      ? `${by(measured - high)} above the most that counts`
      : low !== null && measured < low
        ? `${by(low - measured)} below the least that counts`
        : null;
  // Once right, a check stays right a little outside, so that a verdict does not flicker.
  if (outside !== null)
    return state === 'pass' ? `It is ${outside}: once right, that little does not matter.` : `It is ${outside}.`;
  if (state === 'act' || state === 'wait') return 'It is inside these limits: what is in the way is another thing.';
  const room = [
    low === null ? '' : `${by(measured - low)} above the least`,
    high === null ? '' : `${by(high - measured)} below the most`,
  ];
  return `It is ${room.filter((part) => part !== '').join(' and ')} that counts.`;
}

function difference(check: Check, by: number, units: Units): string {
  switch (check.unit) {
    case 'Cel':
      return temperatureDifference(by, units);
    case 'kPa':
      // A small one has a digit more than a pressure, or it would be none at all.
      return by < 5 ? pressureChange(by, units) : pressure(by, units);
    case '{volumes}':
      return carbonationDifference(by, units);
    default:
      return measure(Math.round(by * 10) / 10, check.unit, units);
  }
}
