import type { Units } from '../../src/contract/catalogue.ts';
import type { KegState } from '../../src/contract/state.ts';
import { carbonation, carbonationNumber } from './numbers.ts';
import { clockTime, dayAndMonth, dayLong, hourText } from './times.ts';

/** What is expected of a keg, in words: where its beer stands to the window, and when it will be right and cold. */
type Band = NonNullable<KegState['dissolved']>;
type Hours = NonNullable<KegState['readyIn']>;

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

/** "2.17 to 2.55" or "2.17 to 2.55 volumes". */
export const bandText = (band: Pick<Band, 'low' | 'high'>, units: Units): string =>
  `${carbonationNumber(band.low, units)} to ${carbonation(band.high, units)}`;

/** Where the band stands to the window, as the end of a sentence about the beer. */
export function standing(band: Band, window: { readonly low: number; readonly high: number }): string {
  if (band.high < window.low) return 'still below its window';
  if (band.low > window.high) return 'past its window';
  const below = band.low < window.low;
  const above = band.high > window.high;
  if (below && above) return 'somewhere about its window';
  if (below) return 'in its window, or still below it';
  if (above) return 'in its window, or past it';
  return 'inside its window';
}

/**
 * "on Saturday between 02:00 and 13:00", "between Fri 22:00 and Sat 04:00", "between 30 Nov and 9 Dec": times as fine as
 * they are known, and never one that is past.
 */
export function whenWords(
  { hours, lowHours, highHours }: Hours,
  nowMs: number,
  zone: string,
  horizonHours = HORIZON_HOURS,
): string {
  const stepMs = stepOf(hours);
  const from = roundTo(nowMs + lowHours * HOUR_MS, stepMs);
  const to = roundTo(nowMs + highHours * HOUR_MS, stepMs);
  const time = (atMs: number): string => unbroken(clockTime(atMs, nowMs, zone));
  if (highHours >= horizonHours) return fartherWords({ lowHours, highHours }, nowMs, zone);
  if (lowHours <= 0 || from <= nowMs) return `${byWords({ hours, highHours }, nowMs, zone)}, maybe already`;
  if (to - from <= stepMs) return `about ${time(roundTo(nowMs + hours * HOUR_MS, stepMs))}`;
  if (to - from >= 1.5 * DAY_MS || to - nowMs >= 6 * DAY_MS) {
    const day = to - nowMs < 6 * DAY_MS ? dayLong : dayAndMonth;
    const [first, last] = [day(from, zone), day(to, zone)].map(unbroken);
    return first === last ? `on ${first}` : `between ${first} and ${last}`;
  }
  if (dayLong(from, zone) !== dayLong(to, zone)) return `between ${time(from)} and ${time(to)}`;
  const day = dayLong(from, zone) === dayLong(nowMs, zone) ? 'today' : `on ${dayLong(from, zone)}`;
  return `${day} between ${hourText(from, zone)} and ${hourText(to, zone)}`;
}

/** Hours the service looks ahead: an end there means then or later. */
const HORIZON_HOURS = 7 * 24;

function fartherWords(
  { lowHours, highHours }: Pick<Hours, 'lowHours' | 'highHours'>,
  nowMs: number,
  zone: string,
): string {
  const say = (inHours: number): string => {
    const atMs = roundTo(nowMs + inHours * HOUR_MS, HOUR_MS);
    return unbroken(highHours < 4 * 24 ? clockTime(atMs, nowMs, zone) : dayAndMonth(atMs, zone));
  };
  return `between ${lowHours <= 0 ? 'now' : say(lowHours)} and ${say(highHours)}, or later`;
}

/** "by Sat 13:00", "by 9 Dec": the far end alone, which is passed once in twenty times. */
function byWords({ hours, highHours }: Pick<Hours, 'hours' | 'highHours'>, nowMs: number, zone: string): string {
  if (highHours >= HORIZON_HOURS) return `about ${unbroken(dayAndMonth(nowMs + hours * HOUR_MS, zone))}`;
  const to = roundTo(nowMs + highHours * HOUR_MS, stepOf(hours));
  const far = to - nowMs >= 6 * DAY_MS;
  return `by ${unbroken(far ? dayAndMonth(to, zone) : clockTime(to, nowMs, zone))}`;
}

const stepOf = (hours: number): number => (hours > 12 ? HOUR_MS : hours > 3 ? 30 * MINUTE_MS : 10 * MINUTE_MS);
const roundTo = (atMs: number, stepMs: number): number => Math.round(atMs / stepMs) * stepMs;
const unbroken = (text: string): string => text.replaceAll(' ', '\u00a0');

type Outlook = Pick<KegState, 'readyIn' | 'coldIn'>;

/** What is still to come: nothing for what is there already or cannot be told. */
const ahead = (hours: Hours | null): Hours | null => (hours === null || hours.highHours <= 0 ? null : hours);

/** One sentence each for the window and for the cold, which `coldIn` counts to half a degree short of. */
export function outlookSentences({ readyIn, coldIn }: Outlook, nowMs: number, zone: string): string[] {
  const said = (hours: Hours | null, what: string): string[] =>
    hours === null ? [] : [`${what} ${whenWords(hours, nowMs, zone)}.`];
  return [
    ...said(ahead(readyIn), 'It comes into its window'),
    ...said(ahead(coldIn), 'It comes near its fill temperature'),
  ];
}

/** "In its window by Fri 14:00, nearly cold by 00:30": the same in one line for a list; empty if there is nothing to say. */
export function outlookLine({ readyIn, coldIn }: Outlook, nowMs: number, zone: string): string {
  const said = (hours: Hours | null, what: string): string[] =>
    hours === null ? [] : [`${what} ${byWords(hours, nowMs, zone)}`];
  const text = [...said(ahead(readyIn), 'in its window'), ...said(ahead(coldIn), 'nearly cold')].join(', ');
  return text === '' ? '' : `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}
