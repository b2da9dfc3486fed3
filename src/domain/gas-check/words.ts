import { carbonationFigures, carbonationWords, pressureWords, type SpokenUnits } from '../words.ts';
import type { Advice } from './advice.ts';
import type { ClosedCourse, ClosedReading } from './closed-course.ts';
import type { Tightness } from './tightness.ts';

const SHAKEN_CAUTION = 'Not in the hours before bottles are filled: a shaken keg needs half a day of rest.';

/** What is worth doing now, in one or two plain sentences. */
export function adviceWords(advice: Advice, units: SpokenUnits): string {
  const plusMinus = (volumes: number) => `±${carbonationWords(volumes, units)}`;
  switch (advice.kind) {
    case 'no-pressure':
      return 'A gas check needs a pressure probe on the keg that is heard now. Check its battery and its way to the broker.';
    case 'no-batch':
      return 'The keg holds no beer by what was entered. With the gas closed, its pressure tells whether it is tight; enter the filling to learn what the beer holds.';
    case 'no-batch-running':
      return 'The keg holds no beer by what was entered, so this check tells only whether it is tight.';
    case 'gas-unknown':
      return 'The gas is mixed. Enter its share of CO2 with the gas supply, then a check can tell what the beer holds.';
    case 'no-temperature':
      return 'It takes the temperature of the beer to read a gas check, and no thermometer of this keg is heard now.';
    case 'not-yet':
      return 'What the beer holds is still being worked out. Look again in a few minutes.';
    case 'surely-inside':
      return 'No check is needed: the beer is inside its window already, as far as can be told.';
    case 'narrow':
      return 'No check is needed: what the beer holds is known about as well as the probes allow.';
    case 'gains-little':
      return 'A check would tell little now. It tells more when the beer has had time to take up gas.';
    case 'enough':
      return 'That is enough: going on tells little more. Open the gas and enter the end of the check.';
    case 'go-on':
      return `Leave the gas closed until it has been ${hoursWords(advice.hours)}: then ${plusMinus(advice.plusMinus)} are to be expected.`;
    case 'check': {
      const { hours, longer, shaken } = advice;
      const more =
        longer === null ? '' : ` After ${hoursWords(longer.hours)} it would be ${plusMinus(longer.plusMinus)}.`;
      const quick =
        shaken === null
          ? ''
          : ` Or shake it for two minutes and let it rest for half an hour: ${plusMinus(shaken.plusMinus)}. ${SHAKEN_CAUTION}`;
      return `Close the gas for ${hoursWords(hours)}: what the beer holds is then known to about ${plusMinus(advice.plusMinus)}.${more}${quick}`;
    }
  }
}

/** What a keg with its gas closed shows so far, in one or two plain sentences. */
export function readingWords(reading: ClosedReading, course: ClosedCourse, units: SpokenUnits): string {
  const last = course.steps.at(-1)?.kpaGauge ?? 0;
  const before = course.beforeKpaGauge ?? course.steps[0]?.kpaGauge ?? last;
  const hours = (course.nowMs - course.startedAtMs) / 3600_000;
  const holds = course.dissolved === null ? null : carbonationWords(course.dissolved.volumes, units);
  const moved = `by ${pressureWords(Math.abs(last - before), units)} in ${hoursWords(hours)}`;
  switch (reading.kind) {
    case 'silent':
      return 'No pressure is heard from this keg, so nothing can be told. Check the probe.';
    case 'too-early':
      return `Closed for ${hoursWords(hours)}: too early to tell.`;
    case 'holds-open':
      return `The pressure holds as it does with an open valve. See whether the valve is really shut; if it is, the beer is full up${holds === null ? '' : `, at about ${holds}`}.`;
    case 'unmoved':
      return `The pressure has hardly moved in ${hoursWords(hours)}. ${holds === null ? 'The keg holds its gas, or the valve is not quite shut.' : `The beer is near what this pressure holds, about ${holds}, or the valve is not quite shut.`}`;
    case 'balanced':
      return `The pressure stands still at ${pressureWords(last, units)}${holds === null ? '.' : `: beer and gas are in balance, so the beer holds about ${holds}.`}`;
    case 'rising':
      return `The pressure rose ${moved}: gas comes out of the beer, so it holds more than this pressure keeps in it.`;
    case 'leak':
      return `The pressure fell ${moved}, and not as it does when beer takes up gas. ${reading.likely ? 'The keg very likely leaks' : 'It may be a leak'}: brush lid, posts and valve with soapy water and look for bubbles.`;
    case 'absorbing':
      return `The pressure fell ${moved} ${reading.slowing ? 'and falls more slowly than at first, as it does while the beer takes up gas.' : 'and goes on falling. Beer that takes up gas slows down; a leak does not.'}`;
  }
}

/** What is known of the tightness. */
export function tightnessWords(tightness: Tightness, isEmpty: boolean, units: SpokenUnits): string {
  const { finding, kpaPerHour, kpaPerHourPlusMinus, hoursLeft } = tightness;
  const day = (kpaPerHourOf: number | null) => pressureWords(24 * Math.abs(kpaPerHourOf ?? 0), units);
  const pace = kpaPerHour === null ? '' : ` (${day(kpaPerHour)} a day, ±${day(kpaPerHourPlusMinus)})`;
  switch (finding) {
    case 'tight':
      return isEmpty
        ? `It is tight: a leak that would empty it within a week would show by now${pace}.`
        : 'No leak shows. The beer takes up gas too, so a small one may still hide; a check of the empty keg is surer.';
    case 'leaks':
      return isEmpty
        ? `It leaks${pace}. Brush lid, posts and relief valve with soapy water, seat the lid anew, and try again.`
        : 'It leaks. Brush lid, posts and relief valve with soapy water before you chill it.';
    case 'too-early':
      return `Whether it is tight can be told in about ${hoursWords(hoursLeft ?? 0)}.`;
    case 'unknown':
      return kpaPerHour === null
        ? 'Whether it is tight cannot be told: that takes a pressure of a few tenths of a bar and a probe that is heard.'
        : 'Whether it is tight cannot be told: the pressure rises, so gas still comes in or the keg is getting warmer.';
  }
}

export interface CheckBand {
  readonly low: number;
  readonly high: number;
}

/** What a check that is over has told. */
export function resultWords(
  result: {
    readonly hours: number;
    readonly shaken: boolean;
    readonly before: CheckBand | null;
    readonly after: CheckBand | null;
    readonly leak: 'none' | 'suspected' | 'likely' | null;
  },
  units: SpokenUnits,
): string {
  const { before, after, leak } = result;
  const closed = `Closed for ${hoursWords(result.hours)}${result.shaken ? ' and shaken' : ''}`;
  const band = ({ low, high }: CheckBand) => `${carbonationFigures(low, units)} to ${carbonationWords(high, units)}`;
  const found =
    after === null
      ? `${closed}.`
      : before === null
        ? `${closed}: ${band(after)}.`
        : `${closed}: from ${band(before)} to ${band(after)}.`;
  if (leak === 'likely') return `${found} The keg very likely leaks.`;
  return leak === 'suspected' ? `${found} A leak is suspected.` : found;
}

/** "20 min", "4 h" or "3 days". */
export function hoursWords(hours: number): string {
  if (hours < 0.95) return `${Math.max(1, Math.round(hours * 60))} min`;
  if (hours < 10) return `${Number(hours.toFixed(1))} h`;
  return hours < 48 ? `${Math.round(hours)} h` : `${Math.round(hours / 24)} days`;
}
