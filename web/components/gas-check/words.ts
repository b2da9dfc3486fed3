import type { Units } from '../../../src/contract/catalogue.ts';
import type { GasCheckReport, GasCheckResult, RunningGasCheck, Tightness } from '../../../src/contract/gas-check.ts';
import {
  carbonationDifference,
  carbonationNumber,
  pressure,
  pressureChange,
  pressureChangeNumber,
} from '../../format/numbers.ts';
import { bandText } from '../../format/outlook.ts';
import { hoursWords, timeSpan } from '../../format/times.ts';

/** What a gas check says, in words and the reader's units. Pure. */
type Leak = RunningGasCheck['leak'];
type Band = RunningGasCheck['bandNow'];

/** One line of the picture that shows how long a check is worth it. */
export interface ExpectedRow {
  readonly label: string;
  /** Half of the lens, as a share of the widest. */
  readonly share: number;
  readonly words: string;
}

/** How sure we are now, and after checks of some hours; empty if nothing can be expected. */
export function expectedRows(
  { plusMinusNow, expected }: Pick<GasCheckReport, 'plusMinusNow' | 'expected'>,
  units: Units,
): ExpectedRow[] {
  if (expected.length === 0) return [];
  const now = plusMinusNow === null ? [] : [{ label: 'now', plusMinus: plusMinusNow }];
  const later = expected
    .toSorted((a, b) => Number(a.shaken) - Number(b.shaken) || a.hours - b.hours)
    .map(({ hours, shaken, plusMinus }) => ({
      label: `after ${hoursWords(hours)}${shaken ? ', shaken' : ''}`,
      plusMinus,
    }));
  const rows = [...now, ...later];
  const widest = Math.max(0.001, ...rows.map(({ plusMinus }) => plusMinus));
  return rows.map(({ label, plusMinus }) => ({
    label,
    share: plusMinus / widest,
    words: carbonationDifference(plusMinus, units),
  }));
}

export const FINDING_WORD: Readonly<Record<Tightness['finding'], string>> = {
  tight: 'It is tight',
  leaks: 'It leaks',
  'too-early': 'Too early to tell',
  unknown: 'Can’t tell',
};

/** The fall of the pressure and its range; when more can be said the service says itself. */
export function tightnessSentences(
  { kpaPerHour, kpaPerHourPlusMinus }: Pick<Tightness, 'kpaPerHour' | 'kpaPerHourPlusMinus'>,
  units: Units,
): string[] {
  return kpaPerHour === null ? [] : [fallSentence(kpaPerHour, kpaPerHourPlusMinus ?? 0, units)];
}

/** A pressure that rises is no leak, so the range ends at nought. */
function fallSentence(kpaPerHour: number, plusMinus: number, units: Units): string {
  const [least, most] = [kpaPerHour - plusMinus, kpaPerHour + plusMinus].map((value) => Math.max(0, value));
  if (least === undefined || most === undefined || Number(pressureChangeNumber(most, units)) === 0) {
    return 'The pressure does not fall.';
  }
  const upTo = pressureChange(most, units);
  if (plusMinus === 0) return `The pressure falls by ${upTo} an hour.`;
  if (least === 0) return `The pressure falls by less than ${upTo} an hour, if at all.`;
  return `The pressure falls by ${pressureChangeNumber(least, units)} to ${upTo} an hour.`;
}

const LEAK_SENTENCE: Readonly<Record<NonNullable<Leak>, string>> = {
  none: 'No sign of a leak.',
  suspected: 'It may leak.',
  likely: 'Very likely it leaks.',
};

export const leakSentence = (leak: Leak): string | null => (leak === null ? null : LEAK_SENTENCE[leak]);

/** What is known after a check, and what was before: two ranges, so two clauses. */
export function narrowed(before: Band, after: Band, units: Units): string | null {
  if (after === null) return null;
  if (before === null) return `It held ${bandText(after, units)}.`;
  const was = `${carbonationNumber(before.low, units)} to ${carbonationNumber(before.high, units)}`;
  return `It held ${bandText(after, units)}; before the check, all that could be said was ${was}.`;
}

/** "Tue 01:24 to 11:24, shaken" */
export function resultTitle(result: GasCheckResult, nowMs: number, zone: string): string {
  const [fromMs, toMs] = [Date.parse(result.startedAt), Date.parse(result.endedAt)];
  return `${timeSpan(fromMs, toMs, nowMs, zone)}, ${result.shaken ? 'shaken' : 'at rest'}`;
}

/** What a check that is over found: in numbers if it told what is in the beer, else as the service says it. */
export function resultSentences(result: GasCheckResult, units: Units): string[] {
  const { bandBefore, bandAfter, kpaGaugeBefore, kpaGaugeAfter, leak, tightness, says } = result;
  const told = bandAfter !== null;
  const moved =
    kpaGaugeBefore === null || kpaGaugeAfter === null
      ? null
      : `The pressure went from ${pressure(kpaGaugeBefore, units)} to ${pressure(kpaGaugeAfter, units)}.`;
  const found = told ? narrowed(bandBefore, bandAfter, units) : says === '' ? null : says;
  const fall = told || tightness === null ? [] : tightnessSentences(tightness, units);
  return [found, ...fall, moved, told ? leakSentence(leak) : null].filter((sentence) => sentence !== null);
}
