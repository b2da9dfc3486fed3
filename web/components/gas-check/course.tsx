import type { Units } from '../../../src/contract/catalogue.ts';
import type { RunningGasCheck } from '../../../src/contract/gas-check.ts';
import { carbonationNumber, pressure } from '../../format/numbers.ts';
import { bandText } from '../../format/outlook.ts';
import { clockTime } from '../../format/times.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { evenRows } from '../even-rows.ts';
import { useSize } from '../use-size.ts';
import { layOutCourse } from './course-layout.ts';

interface Props {
  readonly running: RunningGasCheck;
  readonly target: { readonly low: number; readonly high: number };
  readonly units: Units;
}

const PRESSURE = { top: 26, bottom: 92 } as const;
const BEER = { top: 132, bottom: 204 } as const;
/** Room for the foot line and its hours. */
const FOOT = 32;
const heightOf = ({ course }: RunningGasCheck): number =>
  (course.volumes.some((value) => value !== null) ? BEER.bottom : PRESSURE.bottom + 6) + FOOT;

/** How the pressure went since the gas was closed, and how the band narrowed. */
export function Course(props: Props) {
  const [ref, size] = useSize<HTMLDivElement>();
  const { target, units } = props;
  const { course } = props.running;
  if (course.time.length < 2) return null;
  return (
    <>
      <div class="course" ref={ref} style={{ height: `${heightOf(props.running)}px` }}>
        {size !== null && size.width > 120 && <Drawing {...props} width={size.width} />}
      </div>
      {props.running.bandNow !== null && (
        <p class="note">
          Grey: where it lies nine times in ten. Level lines, if any: its window, {carbonationNumber(target.low, units)}{' '}
          to {carbonationNumber(target.high, units)}.
        </p>
      )}
      <CourseTable {...props} />
    </>
  );
}

function Drawing({ running, target, units, width }: Props & { readonly width: number }) {
  const drawing = layOutCourse(running.course, target, { width, pressure: PRESSURE, beer: BEER });
  const { bandNow, startedAt } = running;
  const height = heightOf(running);
  const hour = clockTime(Date.parse(startedAt), serviceMinute.value, zone.value);
  return (
    <svg class="chart" width={width} height={height} role="img" aria-label={courseSentence(running, units)}>
      <text x="0" y="14">
        pressure in the keg
      </text>
      {drawing.pressure !== null && (
        <>
          <path d={drawing.pressure.path} class="course-line" />
          <circle cx={drawing.pressure.last.x} cy={drawing.pressure.last.y} r="5" fill="var(--text)" />
          <text class="halo strong" x={width} y={14} text-anchor="end">
            {pressure(drawing.pressure.first.value, units)}, now {pressure(drawing.pressure.last.value, units)}
          </text>
        </>
      )}
      {drawing.beer !== null && (
        <>
          <text x="0" y={BEER.top - 10}>
            in the beer
          </text>
          {[drawing.window.high, drawing.window.low].map(
            (y) => y !== null && <path key={y} d={`M0 ${y}H${width}`} stroke="var(--text)" stroke-width="1.5" />,
          )}
          <path d={drawing.beer.band} fill="var(--chart-band)" />
          <path d={drawing.beer.path} class="course-line" />
          {bandNow !== null && (
            <text class="halo strong" x={width} y={BEER.top - 10} text-anchor="end">
              now {bandText(bandNow, units)}
            </text>
          )}
        </>
      )}
      <path d={`M0 ${height - FOOT + 6}H${width}`} stroke="var(--text)" stroke-width="1.5" />
      <text x="0" y={height - 8}>
        {hour}, gas closed
      </text>
      <text x={width} y={height - 8} text-anchor="end">
        now
      </text>
    </svg>
  );
}

/** The drawing in words. */
export function courseSentence(
  { kpaGaugeBefore, kpaGaugeNow, bandBefore, bandNow }: RunningGasCheck,
  units: Units,
): string {
  const moved =
    kpaGaugeBefore === null || kpaGaugeNow === null
      ? 'The pressure is not known.'
      : `Pressure ${pressure(kpaGaugeBefore, units)} when the gas was closed, ${pressure(kpaGaugeNow, units)} now.`;
  const was = bandBefore === null ? '' : ` In the beer then ${bandText(bandBefore, units)}.`;
  const is = bandNow === null ? '' : ` Now ${bandText(bandNow, units)}.`;
  return `${moved}${was}${is}`;
}

const MOST_ROWS = 12;

function CourseTable({ running: { course }, units }: Props) {
  const rows = evenRows(course.time.length, MOST_ROWS);
  return (
    <details>
      <summary>Show as a table</summary>
      <table>
        <thead>
          <tr>
            <th>When</th>
            <th class="num">In the keg</th>
            <th class="num">In the beer</th>
          </tr>
        </thead>
        <tbody>
          {rows.toReversed().map((index) => {
            const [kpa, low, high] = [course.headspaceKpaGauge[index], course.low[index], course.high[index]];
            return (
              <tr key={index}>
                <td>{clockTime(Date.parse(course.time[index] ?? ''), serviceMinute.value, zone.value)}</td>
                <td class="num">{kpa == null ? '–' : pressure(kpa, units)}</td>
                <td class="num">{low == null || high == null ? '–' : bandText({ low, high }, units)}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </details>
  );
}
