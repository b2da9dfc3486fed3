import { between, medianOf, stuckSinceMs, type Trend } from './trend.ts';

const HOUR_MS = 3600_000;
/** Hours of a probe's own past without which it is not known how it usually trembles. */
const PAST_HOURS_MIN = 12;
/** A probe that trembled in this share of its hours, at as many values, cannot stand still for days. Chosen, no source. */
const TREMBLING_SHARE = 0.3;
const TREMBLING_LEVELS = 4;
/** What two probes beside each other may differ by in the course of days: means over this (ms), by so much (°C). */
const WITNESS_MS = 6 * HOUR_MS;
const WITNESS_C = 3;
/** Differences of values below this come of rounding. */
const ROUNDING = 1e-6;

export interface Standstill {
  /** Since when it gave one and the same value (ms). */
  readonly sinceMs: number;
  /** Null: nothing tells whether it ever moves. */
  readonly isStuck: boolean | null;
}

/**
 * Has a probe stood still for longer than its noise and its resolution allow? Its own past tells how it trembles: one that
 * steps by half a degree may stand for weeks in a good fridge. Where it has no past, a thermometer of the air around it that
 * moved meanwhile is a witness. Null: it did not stand still for `patienceMs`.
 * @param witnesses thermometers of the air around it
 */
export function standstill(
  trend: Trend,
  witnesses: readonly Trend[],
  { atMs, patienceMs }: { readonly atMs: number; readonly patienceMs: number },
): Standstill | null {
  const sinceMs = stuckSinceMs(trend);
  if (sinceMs === null || atMs - sinceMs < patienceMs) return null;
  const past = hoursOf(between(trend, Number.NEGATIVE_INFINITY, sinceMs));
  if (witnesses.some((witness) => hasMoved(witness, sinceMs, atMs))) return { sinceMs, isStuck: true };
  return { sinceMs, isStuck: past.length < PAST_HOURS_MIN ? null : isRestless(past) };
}

interface Hour {
  readonly min: number;
  readonly max: number;
  readonly mean: number;
}

function hoursOf(trend: Trend): readonly Hour[] {
  const byHour = Map.groupBy(trend, ({ startMs }) => Math.floor(startMs / HOUR_MS));
  return [...byHour.values()].map((spans) => ({
    min: Math.min(...spans.map(({ min }) => min)),
    max: Math.max(...spans.map(({ max }) => max)),
    mean: spans.reduce((sum, { mean }) => sum + mean, 0) / spans.length,
  }));
}

/** Trembling is what remains of an hour's range when the course from the hour before to the hour after is taken away: a step
 * that a course makes leaves half of itself.
 */
function isRestless(hours: readonly Hour[]): boolean {
  const step = finestStep(hours);
  if (step === null) return false;
  let judged = 0;
  let trembling = 0;
  const levels = new Set<number>();
  for (const [index, { min, max }] of hours.entries()) {
    const [before, after] = [hours[index - 1], hours[index + 1]];
    if (before === undefined || after === undefined) continue;
    judged += 1;
    if (max - min - Math.abs(after.mean - before.mean) / 2 <= step / 2 + ROUNDING) continue;
    trembling += 1;
    levels.add(min);
  }
  return trembling >= TREMBLING_SHARE * judged && levels.size >= TREMBLING_LEVELS;
}

/** The least difference between two values that it gave; null if it gave one only. */
function finestStep(hours: readonly Hour[]): number | null {
  const values = hours.flatMap(({ min, max }) => [min, max]).toSorted((a, b) => a - b);
  let finest: number | null = null;
  for (const [index, value] of values.entries()) {
    const step = value - (values[index - 1] ?? value);
    if (step > ROUNDING && (finest === null || step < finest)) finest = step;
  }
  return finest;
}

function hasMoved(trend: Trend, fromMs: number, toMs: number): boolean {
  const middles: number[] = [];
  for (let startMs = fromMs; startMs + WITNESS_MS <= toMs; startMs += WITNESS_MS) {
    const middle = medianOf(between(trend, startMs, startMs + WITNESS_MS));
    if (middle !== null) middles.push(middle);
  }
  return middles.length > 1 && Math.max(...middles) - Math.min(...middles) >= WITNESS_C;
}
