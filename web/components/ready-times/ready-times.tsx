import type { ReadyTimes } from '../../../src/contract/learning.ts';
import { clockTime, dayAndHour, hoursWords } from '../../format/times.ts';
import './ready-times.css';
import { lateWords, rangeWords, readySentence } from './words.ts';

interface Props {
  readonly times: ReadyTimes;
  readonly zone: string;
  readonly nowMs: number;
}

/** What was forecast of a beer, a day after the other, against what came. */
export function ReadyTimesPart({ times, zone, nowMs }: Props) {
  const { forecasts, readyAt } = times;
  return (
    <>
      <p>
        {readySentence(times, zone)}
        {readyAt !== null && ` Ready to fill for the first time: ${dayAndHour(Date.parse(readyAt), zone)}.`}
      </p>
      {forecasts.length > 0 && (
        <ul class="rows ready-times">
          {forecasts.map((forecast) => (
            <li key={forecast.at}>
              <span>
                {clockTime(Date.parse(forecast.at), nowMs, zone)}: in {hoursWords(forecast.hours)}
              </span>
              <span class="note">
                {hoursWords(forecast.lowHours)} to {hoursWords(forecast.highHours)}
              </span>
              <span class="note came">
                {[lateWords(forecast.lateHours), rangeWords(forecast)].filter((word) => word !== null).join(', ')}
              </span>
            </li>
          ))}
        </ul>
      )}
    </>
  );
}
