import { chartVolumes } from '../estimate/law.ts';
import type { Prospect } from '../estimate/prospect.ts';
import type { RunningEstimate } from '../keg-track-types.ts';

/** A keg left at a temperature and a pressure. */
export interface WhatIfAsk {
  readonly beerC: number;
  readonly headspaceKpaGauge: number;
  readonly ambientKpaAbsolute: number;
  readonly co2Ratio: number;
  readonly hours: number;
  readonly target: { readonly low: number; readonly high: number };
  /** What the beer holds at the start (volumes); null: what the estimate believes. */
  readonly fromVolumes: number | null;
}

/** What comes of it. */
export interface WhatIfFinding extends Prospect {
  /** Where it ends, however long that takes (volumes). */
  readonly equilibriumVolumes: number;
  readonly atMs: number;
}

/** Moments of the curve: about two hours apart over a week. */
const POINTS = 97;

/** Lets an estimate run ahead; it stays as it is. */
export function askWhatIf(estimate: RunningEstimate, ask: WhatIfAsk): WhatIfFinding {
  const { beerC, headspaceKpaGauge, ambientKpaAbsolute, hours, target, fromVolumes } = ask;
  const { atMs, airKpa } = estimate.estimate();
  const prospect = estimate.prospect({
    beerC,
    headspaceKpaGauge,
    ambientKpaAbsolute,
    hours,
    points: POINTS,
    goal: target,
    fromVolumes,
  });
  const co2Kpa = ask.co2Ratio * (headspaceKpaGauge + ambientKpaAbsolute - airKpa);
  return { ...prospect, atMs, equilibriumVolumes: chartVolumes(beerC, 1000 * co2Kpa) };
}
