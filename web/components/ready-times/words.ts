import type { ReadyTimes } from '../../../src/contract/learning.ts';
import { dayAndHour, hoursWords } from '../../format/times.ts';

type Forecast = ReadyTimes['forecasts'][0];

/** "11 h later than said", "on time", "3 days earlier than said"; null while it has not come. */
export function lateWords(lateHours: number | null): string | null {
  if (lateHours === null) return null;
  if (Math.abs(lateHours) < 1) return 'to the hour';
  return `${hoursWords(Math.abs(lateHours))} ${lateHours > 0 ? 'later' : 'earlier'} than said`;
}

/** "inside what was said", "outside what was said"; null while it may still come. */
export function rangeWords({ inRange, lateHours }: Pick<Forecast, 'inRange' | 'lateHours'>): string {
  if (inRange === null) return 'still open';
  if (inRange) return 'within the range said';
  return lateHours === null ? 'the range said is over' : 'outside the range said';
}

/** What the forecasts of a batch were worth, in a sentence. */
export function readySentence({ inWindowAt, forecasts }: ReadyTimes, zone: string): string {
  if (forecasts.length === 0) return 'Nothing was forecast of this beer.';
  if (inWindowAt === null) return 'Its carbonation has not been right yet.';
  const held = forecasts.filter(({ inRange }) => inRange === true).length;
  const came = `Its carbonation was right on ${dayAndHour(Date.parse(inWindowAt), zone)}.`;
  const counted = forecasts.length === 1 ? 'The one forecast' : `${held} of ${forecasts.length} forecasts`;
  if (forecasts.length === 1) return `${came} ${counted} ${held === 1 ? 'held' : 'did not hold'}.`;
  return `${came} ${counted} held; nine in ten should.`;
}
