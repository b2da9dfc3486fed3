import type { FillPlan } from '../../../src/contract/plan.ts';
import { clockTime, hourText } from '../../format/times.ts';

const WIDTH = 320;
const BASE = 62;
const HEIGHT = 92;

/** When the keg comes inside its window, against the hour of the first bottle. Nothing if it is inside, or will not be. */
export function Slack({
  plan,
  nowMs,
  zone,
}: {
  readonly plan: FillPlan;
  readonly nowMs: number;
  readonly zone: string;
}) {
  if (plan.insideBetween === null) return null;
  const [from, likely, until] = [plan.insideBetween.from, plan.insideBetween.likely, plan.insideBetween.until].map(
    (at) => Date.parse(at),
  ) as [number, number, number];
  const fill = Date.parse(plan.fillAt);
  const start = Math.min(nowMs, from);
  const x = (atMs: number): number => 6 + ((WIDTH - 12) * (atMs - start)) / Math.max(1, fill - start);
  const words = `${clockTime(from, nowMs, zone)} and ${clockTime(until, nowMs, zone)}`;
  return (
    <>
      <p>
        It comes inside its window between {words}, most likely {clockTime(likely, nowMs, zone)}.
      </p>
      <svg
        class="chart slack"
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        role="img"
        aria-label={`Inside its window between ${words}. The fill is at ${hourText(fill, zone)}.`}
      >
        <path class="bell" d={bell(x(from), x(likely), x(until))} />
        <path d={`M4 ${BASE}H${WIDTH - 4}M${x(fill)} 16V${BASE}M${x(from)} ${BASE}v6M${x(until)} ${BASE}v6`} />
        <text class="strong" x={x(fill)} y="12" text-anchor="end">
          first bottle
        </text>
        <text x={x(from)} y={BASE + 22} text-anchor={x(from) < 60 ? 'start' : 'middle'}>
          {hourText(from, zone)}
        </text>
        {x(until) - x(from) > 90 && (
          <text x={x(until)} y={BASE + 22} text-anchor={x(until) > WIDTH - 60 ? 'end' : 'middle'}>
            {hourText(until, zone)}
          </text>
        )}
      </svg>
    </>
  );
}

/** Steeper before the likely hour than after it, as such waits are; no curve of a law, only where the weight lies. */
function bell(from: number, likely: number, until: number): string {
  const [left, right] = [Math.max(3, likely - from), Math.max(3, until - likely)];
  return `M${from} ${BASE}C${from + left / 2} ${BASE} ${likely - left / 2} 22 ${likely} 22C${likely + right / 2} 22 ${until - right / 2} ${BASE} ${until} ${BASE}Z`;
}
