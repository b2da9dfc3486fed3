import type { Units } from '../../../src/contract/catalogue.ts';
import type { WhatIfAnswer } from '../../../src/contract/what-if.ts';
import { carbonation, carbonationFromVolumes, carbonationNumber, tickText } from '../../format/numbers.ts';
import { bandText } from '../../format/outlook.ts';
import { clockTime, timeTicks } from '../../format/times.ts';
import { evenRows } from '../even-rows.ts';
import { useSize } from '../use-size.ts';
import { layOutWhatIf } from './layout.ts';

interface Props {
  readonly answer: WhatIfAnswer;
  readonly units: Units;
  readonly zone: string;
}

const HEIGHT = 250;
const HOUR_MS = 3_600_000;

/** What would become of the beer: dotted and hatched, so that the future cannot pass for the past. */
export function Forecast(props: Props) {
  const [ref, size] = useSize<HTMLDivElement>();
  return (
    <>
      <div class="forecast" ref={ref} style={{ height: `${HEIGHT}px` }}>
        {size !== null && size.width > 120 && <Drawing {...props} width={size.width} />}
      </div>
      <ForecastTable {...props} />
    </>
  );
}

function Drawing({ answer, units, zone, width }: Props & { readonly width: number }) {
  const frame = { width, height: HEIGHT, left: 46, right: width - 10, top: 22, bottom: HEIGHT - 30 };
  const drawing = layOutWhatIf(answer, frame, (volumes) => carbonationFromVolumes(volumes, units));
  const { windowTop, windowBottom, start, end, enters, ticks } = drawing;
  const atMs = Date.parse(answer.at);
  const hours = answer.curve.hours[answer.curve.hours.length - 1] ?? 1;
  const step = (ticks[1]?.shown ?? 1) - (ticks[0]?.shown ?? 0);
  const lastVolumes = answer.curve.volumes[answer.curve.volumes.length - 1] ?? answer.start.volumes;
  return (
    <svg class="chart" width={width} height={HEIGHT} role="img" aria-label={forecastSentence(answer, units)}>
      <defs>
        <pattern id="what-if-next" width="6" height="6" patternUnits="userSpaceOnUse">
          <path d="M1 0V6" stroke="var(--chart-band-next)" stroke-width="1.2" />
        </pattern>
      </defs>
      <rect
        x={frame.left}
        y={windowTop}
        width={frame.right - frame.left}
        height={windowBottom - windowTop}
        fill="var(--ground-window)"
      />
      {[windowTop, windowBottom].map((y) => (
        <path key={y} d={`M${frame.left} ${y}H${frame.right}`} stroke="var(--text)" stroke-width="1.5" />
      ))}
      <path d={drawing.band} fill="url(#what-if-next)" />
      <path d={drawing.path} class="forecast-line" />
      <path d={`M${frame.left} ${frame.top}V${frame.bottom}H${frame.right}`} class="forecast-axes" />
      {enters !== null && <circle cx={enters.x} cy={enters.y} r="6" class="forecast-ring" />}
      <circle cx={start.x} cy={start.y} r="5" fill="var(--text)" />
      <text class="halo strong" x={end.x} y={end.y - 10} text-anchor="end">
        {carbonationNumber(lastVolumes, units)}
      </text>
      <text x="0" y="13">
        {units.carbonation}
      </text>
      {ticks.map(({ y, shown }) => (
        <text key={shown} x={frame.left - 8} y={y + 5} text-anchor="end">
          {tickText(shown, step)}
        </text>
      ))}
      {timeTicks(atMs, atMs + hours * HOUR_MS, zone, width / 90).map((tick) => {
        const at = drawing.x((tick.atMs - atMs) / HOUR_MS);
        return (
          <g key={tick.atMs}>
            <path d={`M${at} ${frame.bottom}v6`} stroke="var(--text-soft)" />
            {at < width - 44 && (
              <text class={tick.midnight ? 'strong' : ''} x={at + 4} y={HEIGHT - 8}>
                {tick.label}
              </text>
            )}
          </g>
        );
      })}
    </svg>
  );
}

/** The drawing in one sentence. */
export function forecastSentence({ start, curve, target, equilibriumVolumes }: WhatIfAnswer, units: Units): string {
  const last = curve.volumes.length - 1;
  const end = { low: curve.low[last] ?? start.low, high: curve.high[last] ?? start.high };
  return (
    `From ${bandText(start, units)} now to ${bandText(end, units)} at the end, heading for ` +
    `${carbonation(equilibriumVolumes, units)}. Window ${bandText(target, units)}.`
  );
}

const MOST_ROWS = 12;

function ForecastTable({ answer: { at, curve }, units, zone }: Props) {
  const atMs = Date.parse(at);
  const rows = evenRows(curve.hours.length, MOST_ROWS);
  return (
    <details>
      <summary>Show as a table</summary>
      <table>
        <thead>
          <tr>
            <th>When</th>
            <th class="num">Likely</th>
            <th class="num">Nine times in ten</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((index) => (
            <tr key={index}>
              <td>{clockTime(atMs + (curve.hours[index] ?? 0) * HOUR_MS, atMs, zone)}</td>
              <td class="num">{carbonationNumber(curve.volumes[index] ?? 0, units)}</td>
              <td class="num">{bandText({ low: curve.low[index] ?? 0, high: curve.high[index] ?? 0 }, units)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  );
}
