import type { Units } from '../../../src/contract/catalogue.ts';
import { carbonationNumber, pressure, temperature } from '../../format/numbers.ts';
import { clockTime } from '../../format/times.ts';
import { rangeOf } from './plots.ts';
import { type CurveColumns, hasValues, tableRows } from './read-curve.ts';

interface Props {
  readonly columns: CurveColumns;
  readonly units: Units;
  readonly zone: string;
  readonly nowMs: number;
}

const MOST_ROWS = 40;

/** The curve as numbers: evenly spread moments, newest first. */
export function CurveTable({ columns, units, zone, nowMs }: Props) {
  const estimated = hasValues(columns.dissolved);
  const told = (value: number | null | undefined, words: (value: number) => string): string =>
    value == null ? '–' : words(value);
  return (
    <table class="curve-table">
      <thead>
        <tr>
          <th>When</th>
          {estimated && <th class="num">In the beer</th>}
          <th class="num">In the end</th>
          <th class="num">Beer</th>
          <th class="num">In the keg</th>
        </tr>
      </thead>
      <tbody>
        {tableRows(columns, MOST_ROWS)
          .reverse()
          .map((index) => (
            <tr key={index}>
              <td>{clockTime((columns.timeS[index] ?? 0) * 1000, nowMs, zone)}</td>
              {estimated && (
                <td class="num">
                  {told(columns.dissolved[index], (value) => carbonationNumber(value, units))}
                  <span class="range">{rangeOf(columns, index, units)}</span>
                </td>
              )}
              <td class="num">{told(columns.end[index], (value) => carbonationNumber(value, units))}</td>
              <td class="num">{told(columns.beer.mean[index], (value) => temperature(value, units))}</td>
              <td class="num">{told(columns.pressure.mean[index], (value) => pressure(value, units))}</td>
            </tr>
          ))}
      </tbody>
    </table>
  );
}
