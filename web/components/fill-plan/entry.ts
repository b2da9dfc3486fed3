import { fromWallTime, toWallTime, zoneOffsetMs } from '../../format/times.ts';
import { numberFrom } from '../form/field.tsx';

/** The form as it is typed. Two sizes of bottles are enough for a form; the API takes more. */
export interface PlanFields {
  /** Wall time in the site's zone. */
  readonly at: string;
  readonly count: string;
  readonly size: string;
  readonly moreCount: string;
  readonly moreSize: string;
}

export const SIZES: readonly (readonly [string, string])[] = [
  ['0.33', '330 mL'],
  ['0.5', '500 mL'],
  ['0.75', '750 mL'],
  ['0.355', '355 mL (12 fl oz)'],
  ['0.65', '650 mL (22 fl oz)'],
  ['1', '1 L'],
];

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const EVENING_H = 18;

/** The evening of the day after tomorrow, for a dozen. */
export function firstFields(nowMs: number, zone: string): PlanFields {
  const offset = zoneOffsetMs(nowMs, zone);
  const midnight = Math.floor((nowMs + offset) / DAY_MS) * DAY_MS;
  const wall = new Date(midnight + 2 * DAY_MS + EVENING_H * HOUR_MS).toISOString().slice(0, 16);
  return { at: wall, count: '12', size: '0.5', moreCount: '', moreSize: '0.33' };
}

export type PlanEntry =
  | { readonly ok: true; readonly fillAt: string; readonly bottles: string }
  | { readonly ok: false; readonly detail: string };

export function readPlan(fields: PlanFields, zone: string): PlanEntry {
  const atMs = fromWallTime(fields.at, zone);
  if (atMs === null) return { ok: false, detail: 'Say when the first bottle is to be filled.' };
  const groups = [
    { count: fields.count, size: fields.size },
    ...(fields.moreCount.trim() === '' ? [] : [{ count: fields.moreCount, size: fields.moreSize }]),
  ];
  const counts = groups.map(({ count }) => numberFrom(count));
  if (counts.some((count) => count === null || !Number.isInteger(count) || count < 1)) {
    return { ok: false, detail: 'Say how many bottles, as a whole number.' };
  }
  const bottles = groups.map(({ size }, index) => `${counts[index]}x${size}`).join(',');
  return { ok: true, fillAt: new Date(atMs).toISOString(), bottles };
}

/** The form for a plan that is kept already. */
export function fieldsOf(fillAt: string, bottles: string, zone: string): PlanFields {
  const [first, second] = bottles.split(',').map((group) => group.split('x'));
  return {
    at: toWallTime(Date.parse(fillAt), zone),
    count: first?.[0]?.trim() ?? '',
    size: first?.[1]?.trim() ?? '0.5',
    moreCount: second?.[0]?.trim() ?? '',
    moreSize: second?.[1]?.trim() ?? '0.33',
  };
}
