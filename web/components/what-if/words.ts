import type { Units } from '../../../src/contract/catalogue.ts';
import type { WhatIfAnswer } from '../../../src/contract/what-if.ts';
import { bandText, standing, whenWords } from '../../format/outlook.ts';
import { clockTime, hoursWords } from '../../format/times.ts';

/** What a what-if answers, in words. Pure. */
const HOUR_MS = 3_600_000;
const HARDLY = 'hardly ever';

/** "9 times in ten", "hardly ever": certainty as plain counts. */
export function timesWords(probability: number): string {
  const inTwenty = Math.round(probability * 20);
  if (inTwenty <= 0) return HARDLY;
  if (inTwenty >= 20) return 'nearly always';
  if (inTwenty === 1) return 'once in 20 times';
  return inTwenty % 2 === 0 ? `${inTwenty / 2} times in ten` : `${inTwenty} times in 20`;
}

/** Time to the window, or where it stands to it. */
export function windowSentence(answer: WhatIfAnswer, zone: string): string {
  const { readyIn, start, target, curve } = answer;
  const horizonHours = curve.hours[curve.hours.length - 1];
  const atMs = Date.parse(answer.at);
  const inside = start.low >= target.low && start.high <= target.high;
  return readyIn !== null && readyIn.highHours > 0
    ? `It comes into its window ${whenWords(readyIn, atMs, zone, horizonHours)}.`
    : `Now it is ${standing(start, target)}${inside || readyIn !== null ? '' : ', and does not surely come into it in this time'}.`;
}

/** What it holds at the end of the hours, and how often that is right. */
export function endSentence({ curve, insideProbability }: WhatIfAnswer, units: Units): string {
  const last = curve.hours.length - 1;
  const [hours, low, high] = [curve.hours[last], curve.low[last], curve.high[last]];
  if (hours === undefined || low === undefined || high === undefined) return '';
  return `After ${hoursWords(hours)} it holds ${bandText({ low, high }, units)}, inside its window ${timesWords(insideProbability)}.`;
}

/** The risk of too much, and when it begins. */
export function passingSentence({ at, passing }: Pick<WhatIfAnswer, 'at' | 'passing'>, zone: string): string {
  const often = timesWords(passing.probability);
  if (often === HARDLY) return `It ${often} passes the top of its window.`;
  if (passing.hours === null) return `It passes the top of its window ${often}.`;
  const fromMs = Date.parse(at) + passing.hours * HOUR_MS;
  const when = passing.hours < 1 ? 'from the start' : `from ${clockTime(fromMs, Date.parse(at), zone)} on`;
  return `It may pass the top of its window ${when}: ${often} by the end.`;
}
