import type { Batch, Keg, Site, Supply } from './catalogue.ts';
import { equilibriumOrNull } from './equilibrium.ts';
import type { GapMark } from './gap.ts';
import type { GasCheck } from './gas-check/checks.ts';
import type { KegFacts } from './keg-facts.ts';
import { type Ambient, ambientPressure, type KegInput } from './keg-inputs.ts';
import type { TrackOutput } from './keg-track-types.ts';
import type { Notice } from './notices/notice.ts';
import type { Quantity } from './quantity.ts';
import { type PlannedFill, usable } from './verdict/basis.ts';
import type { CheckName } from './verdict/check.ts';
import { judge, type Verdict } from './verdict/judge.ts';
import { limitsWith } from './verdict/limits.ts';
import { dissolvedOutlook } from './verdict/outlook.ts';
import { advisedSettingKpaGauge } from './verdict/serving-pressure.ts';

/** What is said of a keg at a moment. */
export interface KegState {
  readonly keg: Keg;
  /** False while the keg was only heard of. */
  readonly adopted: boolean;
  readonly atMs: number;
  readonly batch: Batch | null;
  readonly facts: KegFacts;
  readonly inputs: readonly KegInput[];
  readonly beerTemperatureC: number | null;
  readonly headspaceKpaGauge: number | null;
  readonly ambient: Ambient;
  readonly regulatorKpaGauge: number | null;
  /** Regulator setting that ends inside the window (kPa gauge), or null where none can be told. */
  readonly advisedKpaGauge: number | null;
  readonly equilibriumVolumes: number | null;
  /** What the estimate says; null where there is none. */
  readonly outlook: TrackOutput | null;
  /** The gas check that is going on, or null. */
  readonly gasCheck: GasCheck | null;
  /** What the probes say and nobody entered. */
  readonly notices: readonly Notice[];
  /** The fill that is planned for it next; null: none. */
  readonly planned: PlannedFill | null;
  readonly verdict: Verdict;
}

/** What `kegState` is computed from. */
export interface KegSituation {
  readonly keg: Keg;
  readonly adopted: boolean;
  readonly site: Site;
  readonly supply: Supply;
  readonly batch: Batch | null;
  readonly facts: KegFacts;
  readonly inputs: readonly KegInput[];
  readonly outlook: TrackOutput | null;
  readonly gasCheck: GasCheck | null;
  readonly notices: readonly Notice[];
  /** Times within the last half hour in which we could not hear, in order. */
  readonly holes: readonly GapMark[];
  /** Checks that passed when last judged. */
  readonly passed: ReadonlySet<CheckName>;
  /** The fill that is planned for it next; null: none. */
  readonly planned: PlannedFill | null;
}

/** Computes all that is said of a keg now. A value that has grown stale is shown with its age, but nothing rests on it. */
export function kegState(situation: KegSituation, nowMs: number): KegState {
  const { keg, adopted, site, supply, batch, facts, inputs, outlook, gasCheck, notices } = situation;
  const newest = (quantity: Quantity) => inputs.find((input) => input.quantity === quantity) ?? null;
  const ambient = ambientPressure(newest('ambient-pressure'), facts.altitudeMetres, site);
  const beerTemperature = newest('beer-temperature');
  const headspacePressure = newest('headspace-pressure');
  const beer = usable(beerTemperature);
  const headspace = usable(headspacePressure);
  const equilibriumVolumes =
    beer === null || headspace === null
      ? null
      : equilibriumOrNull(beer.value, headspace.value, ambient.kpaAbsolute, supply.co2Ratio);
  const basis = {
    kegId: keg.kegId,
    batch,
    facts,
    beerTemperature,
    headspacePressure,
    ambient,
    co2Ratio: supply.co2Ratio,
    equilibriumVolumes,
    dissolved: dissolvedOutlook(outlook),
    units: site.units,
    inputs,
    coldIn: outlook?.coldIn ?? null,
    steadiness: outlook?.steadiness ?? null,
    holes: situation.holes,
    gasCheckRuns: gasCheck !== null,
    limits: limitsWith(batch?.limits ?? {}),
    passed: situation.passed,
    planned: situation.planned,
    nowMs,
  };
  return {
    keg,
    adopted,
    atMs: nowMs,
    batch,
    facts,
    inputs,
    beerTemperatureC: beerTemperature?.value ?? null,
    headspaceKpaGauge: headspacePressure?.value ?? null,
    ambient,
    regulatorKpaGauge: newest('regulator-pressure')?.value ?? facts.regulatorKpaGauge,
    advisedKpaGauge: advisedSettingKpaGauge(basis),
    equilibriumVolumes,
    outlook,
    gasCheck,
    notices,
    planned: situation.planned,
    verdict: judge(basis),
  };
}
