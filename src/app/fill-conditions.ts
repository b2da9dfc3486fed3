import type * as contract from '../contract/index.ts';
import type { Conditions } from '../domain/fill/fill.ts';
import type { CurveQuery } from './curve.ts';
import type { Monitor } from './monitor.ts';

/** Up to this age what is said of a keg now holds for the moment as well (ms). */
const NOW_MS = 60_000;
/** What was measured this long before or after still tells what the beer was like (ms): it changes slowly. */
const AROUND_MS = 10 * 60_000;
const POINTS = 40;

export interface ConditionSources {
  readonly monitor: Pick<Monitor, 'stateNow'>;
  readonly curve: Pick<CurveQuery, 'curve'>;
}

/**
 * What a keg was like at a moment. Of the present the live state tells; of the past, what was stored. Rejects if the store
 * cannot be reached.
 */
export async function conditionsAt(
  { monitor, curve }: ConditionSources,
  kegId: string,
  atMs: number,
  nowMs: number,
): Promise<Conditions> {
  const state = Math.abs(nowMs - atMs) <= NOW_MS ? monitor.stateNow(kegId) : null;
  if (state !== null) return ofState(state, atMs);
  const around = { kegId, fromMs: atMs - AROUND_MS, toMs: atMs + AROUND_MS, points: POINTS };
  return ofCurve(await curve.curve(around), atMs);
}

function ofState(state: contract.KegState, atMs: number): Conditions {
  const isStale = (quantity: string) =>
    state.inputs.some((input) => input.quantity === quantity && input.state === 'stale');
  return {
    atMs,
    beerTemperatureC: isStale('beer-temperature') ? null : state.beerTemperatureC,
    headspaceKpaGauge: isStale('headspace-pressure') ? null : state.headspaceKpaGauge,
    dissolved: state.dissolved === null ? null : { ...state.dissolved },
    verdict: state.verdict.kind,
  };
}

function ofCurve({ columns, verdicts, bucketMs }: contract.Curve, atMs: number): Conditions {
  const middles = columns.time.map((time) => Date.parse(time) + bucketMs / 2);
  const nearest = <T>(values: readonly (T | null)[]): T | null => {
    let best: { readonly value: T; readonly distanceMs: number } | null = null;
    for (const [index, value] of values.entries()) {
      const distanceMs = Math.abs((middles[index] ?? Number.POSITIVE_INFINITY) - atMs);
      if (value !== null && (best === null || distanceMs < best.distanceMs)) best = { value, distanceMs };
    }
    return best?.value ?? null;
  };
  const dissolved = columns.dissolvedVolumes.map((volumes, index) => {
    const [low, high] = [columns.dissolvedLow[index], columns.dissolvedHigh[index]];
    return volumes === null || low === null || low === undefined || high === null || high === undefined
      ? null
      : { volumes, low, high };
  });
  return {
    atMs,
    beerTemperatureC: nearest(columns.beerTemperatureC.mean),
    headspaceKpaGauge: nearest(columns.headspaceKpaGauge.mean),
    dissolved: nearest(dissolved),
    verdict: verdicts.findLast(({ at }) => Date.parse(at) <= atMs)?.kind ?? null,
  };
}
