import type { EstimatePoint } from './estimate-point.ts';

/** What was dissolved at a moment, with its 90 % interval (volumes). */
export interface Dissolved {
  readonly volumes: number;
  readonly low: number;
  readonly high: number;
}

/** Estimates stand for the time between them up to this length (ms); they come every quarter of an hour. */
export const DISSOLVED_HOLD_MS = 30 * 60_000;

/**
 * The estimate in the middle of a bucket that begins at a moment: between two points on the straight line, after the last
 * for a while as it was. Moments must not fall; null where there is no estimate.
 */
export function dissolvedAt(points: readonly EstimatePoint[], bucketMs: number): (startMs: number) => Dissolved | null {
  let index = 0;
  return (startMs) => {
    const atMs = startMs + bucketMs / 2;
    while ((points[index + 1]?.atMs ?? Number.POSITIVE_INFINITY) <= atMs) index += 1;
    const before = points[index];
    // A bucket may be much longer than the points are apart, and then it ends far behind the last of them.
    if (before === undefined || before.atMs > startMs + bucketMs) return null;
    const after = points[index + 1];
    if (after !== undefined && before.atMs <= atMs && after.atMs - before.atMs <= DISSOLVED_HOLD_MS) {
      return between(before, after, (atMs - before.atMs) / (after.atMs - before.atMs));
    }
    const isNear = before.atMs >= startMs || startMs - before.atMs <= DISSOLVED_HOLD_MS;
    return isNear ? { volumes: before.volumes, low: before.low, high: before.high } : null;
  };
}

function between(a: EstimatePoint, b: EstimatePoint, share: number): Dissolved {
  const mixed = (from: number, to: number) => from + (to - from) * share;
  return { volumes: mixed(a.volumes, b.volumes), low: mixed(a.low, b.low), high: mixed(a.high, b.high) };
}
