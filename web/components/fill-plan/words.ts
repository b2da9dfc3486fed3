import type { Units } from '../../../src/contract/catalogue.ts';
import type { FillPlan, PlanStep } from '../../../src/contract/plan.ts';
import { carbonation, carbonationNumber, digits } from '../../format/numbers.ts';
import { clockTime, dayKey, hourText, longDay } from '../../format/times.ts';

/** The timetable by days, as it hangs on a wall. */
export interface Day {
  readonly name: string;
  readonly steps: readonly PlanStep[];
}

export function daysOf(steps: readonly PlanStep[], zone: string): Day[] {
  const days: { key: string; name: string; steps: PlanStep[] }[] = [];
  for (const step of steps) {
    const atMs = Date.parse(step.at);
    const key = dayKey(atMs, zone);
    const last = days[days.length - 1];
    if (last?.key === key) last.steps.push(step);
    else days.push({ key, name: longDay(atMs, zone), steps: [step] });
  }
  return days;
}

const HALF_HOUR_MS = 1_800_000;

/** What stands far right of a step: the latest hour, or the range of what the keg does by itself. */
export function rangeOf({ at, earliest, latest, by, kind }: PlanStep, nowMs: number, zone: string): string {
  const [atMs, fromMs, untilMs] = [at, earliest, latest].map((time) => Date.parse(time)) as [number, number, number];
  if (kind === 'rest') return `until ${hourText(untilMs, zone)}`;
  if (untilMs - fromMs < HALF_HOUR_MS) return by === 'keg' ? 'by itself' : '';
  if (by === 'keg') return `${clockTime(fromMs, nowMs, zone)} to ${clockTime(untilMs, nowMs, zone)}`;
  return untilMs - atMs < HALF_HOUR_MS ? '' : `latest ${clockTime(untilMs, nowMs, zone)}`;
}

/** The hour of a step; what is due at once is said so. */
export function hourOf({ at }: PlanStep, plannedAt: string, zone: string): string {
  return Math.abs(Date.parse(at) - Date.parse(plannedAt)) < 60_000 ? 'now' : hourText(Date.parse(at), zone);
}

/** "5 things for you, the keg does the rest" */
export function countWords(steps: readonly PlanStep[]): string {
  const mine = steps.filter(({ by }) => by === 'you').length;
  return `${mine} ${mine === 1 ? 'thing' : 'things'} for you, the keg does the rest`;
}

export function atHourWords({ atHour }: FillPlan, units: Units): string {
  return `By then it holds ${carbonationNumber(atHour.low, units)} to ${carbonation(atHour.high, units)}.`;
}

/** "about 40 s" or "20 to 45 s" or "1 to 2 min" */
export function secondsWords(seconds: number | null, slow: number | null): string {
  if (seconds === null) return 'it does not run';
  const until = Math.max(seconds, slow ?? seconds);
  if (until < 100) {
    const [low, high] = [Math.round(seconds), Math.round(until)];
    return low === high ? `${low}\u00a0s` : `${low} to ${high}\u00a0s`;
  }
  const [low, high] = [Math.max(1, Math.round(seconds / 60)), Math.round(until / 60)];
  return low === high ? `${low}\u00a0min` : `${low} to ${high}\u00a0min`;
}

const ML_PER_FL_OZ = 29.5735;

/** "330 mL" or "12 fl oz": a bottle as its label has it. */
export function bottleSize(litres: number, units: Units): string {
  if (units.volume === 'L') return litres < 1 ? `${Math.round(1000 * litres)}\u00a0mL` : `${litres}\u00a0L`;
  return `${digits((1000 * litres) / ML_PER_FL_OZ, 1).replace(/\.0$/, '')}\u00a0fl\u00a0oz`;
}
