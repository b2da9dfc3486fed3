import type { DissolvedEstimate } from '../estimate/types.ts';

/** A mean pressure over a few minutes. */
export interface PressureStep {
  readonly atMs: number;
  readonly kpaGauge: number;
}

/** What a keg with its gas closed shows. */
export interface ClosedCourse {
  readonly startedAtMs: number;
  readonly nowMs: number;
  readonly shaken: boolean;
  /** Just before the gas was closed (kPa gauge); null: not heard. */
  readonly beforeKpaGauge: number | null;
  /** Since then, in order of time. */
  readonly steps: readonly PressureStep[];
  readonly dissolved: Pick<DissolvedEstimate, 'volumes' | 'leak' | 'disagreement'> | null;
}

/** What that looks like. */
export type ClosedReading =
  | { readonly kind: 'silent' | 'too-early' | 'holds-open' | 'unmoved' | 'balanced' | 'rising' }
  | { readonly kind: 'leak'; readonly likely: boolean }
  /** `slowing`: it falls more slowly than at first, as it does while the beer takes up gas. */
  | { readonly kind: 'absorbing'; readonly slowing: boolean };

const HOUR_MS = 3600_000;
/** A pressure that is older is not one of now (ms). */
const SILENT_MS = 30 * 60_000;
/** A change that probe and fridge do not make (kPa). Chosen, no source. */
const MOVED_KPA = 2.5;
/** Before this a change that small says nothing (h); after shaking sooner. */
const EARLY_HOURS = 0.75;
const EARLY_SHAKEN_HOURS = 0.4;
/** Pace that counts as standing still (kPa per hour), and the span it is taken over. */
const STILL_KPA_PER_HOUR = 0.5;
const PACE_MS = HOUR_MS;
/** A later pace below this share of the first is a slowing one. */
const SLOWING_SHARE = 0.7;

export function readClosedCourse(course: ClosedCourse): ClosedReading {
  const { dissolved, steps, nowMs } = course;
  const last = steps.at(-1);
  if (last === undefined || nowMs - last.atMs > SILENT_MS) return { kind: 'silent' };
  if (dissolved?.disagreement === 'closed-but-holds') return { kind: 'holds-open' };
  if (dissolved !== null && dissolved.leak !== 'none') return { kind: 'leak', likely: dissolved.leak === 'likely' };
  const movedKpa = last.kpaGauge - (course.beforeKpaGauge ?? steps.reduce((first) => first).kpaGauge);
  const hours = (nowMs - course.startedAtMs) / HOUR_MS;
  const moved = Math.abs(movedKpa) >= MOVED_KPA;
  if (!moved && hours < (course.shaken ? EARLY_SHAKEN_HOURS : EARLY_HOURS)) return { kind: 'too-early' };
  const pace = paceKpaPerHour(steps.filter(({ atMs }) => atMs > last.atMs - PACE_MS));
  const first = paceKpaPerHour(steps.filter(({ atMs }) => atMs < course.startedAtMs + PACE_MS));
  if (Math.abs(pace) <= STILL_KPA_PER_HOUR) return { kind: moved ? 'balanced' : 'unmoved' };
  if (pace > 0) return { kind: 'rising' };
  return { kind: 'absorbing', slowing: hours >= 2 && pace > SLOWING_SHARE * first };
}

/** Slope by least squares; 0 for fewer than three points. */
export function paceKpaPerHour(steps: readonly PressureStep[]): number {
  if (steps.length < 3) return 0;
  const meanMs = mean(steps.map(({ atMs }) => atMs));
  const meanKpa = mean(steps.map(({ kpaGauge }) => kpaGauge));
  let across = 0;
  let along = 0;
  for (const { atMs, kpaGauge } of steps) {
    const hours = (atMs - meanMs) / HOUR_MS;
    across += hours * (kpaGauge - meanKpa);
    along += hours * hours;
  }
  return across / along;
}

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
