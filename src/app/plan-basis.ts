import type { Site } from '../domain/catalogue.ts';
import type { HoursAhead } from '../domain/estimate/types.ts';
import type { KegEvent } from '../domain/event.ts';
import type { BottleGroup } from '../domain/fill-plan/bottles.ts';
import { PLAN_SCOUTS } from '../domain/fill-plan/gas-way.ts';
import { fillPlan } from '../domain/fill-plan/plan.ts';
import type { FillPlan, PlanBasis } from '../domain/fill-plan/types.ts';
import { gasChecksOf, runningCheck } from '../domain/gas-check/checks.ts';
import { kegFactsAt } from '../domain/keg-facts.ts';
import type { RunningEstimate, TrackOutput } from '../domain/keg-track-types.ts';
import type { VerdictLimits } from '../domain/verdict/limits.ts';
import type { SpokenUnits } from '../domain/words.ts';

/** What a plan is worked out from: what is entered, what is said of the keg, and what is wished. */
export interface PlanSources {
  readonly nowMs: number;
  readonly fillAtMs: number;
  readonly bottles: readonly BottleGroup[];
  readonly events: readonly KegEvent[];
  readonly output: TrackOutput;
  readonly estimate: RunningEstimate;
  readonly coolingConstant: HoursAhead | null;
  readonly limits: VerdictLimits;
  readonly abvPercent: number | null;
  readonly co2Ratio: number;
  readonly beerLeftL: number | null;
  readonly gasLeftKg: number | null;
  readonly line: Site['line'];
  readonly workingKpaGaugeMax: number | null;
  readonly othersOnGas: readonly string[];
  readonly units: SpokenUnits;
  readonly awakeAt: (atMs: number) => boolean;
}

/** Beer that is warmer than its fridge by more than this may have yet to follow it (°C). */
const FOLLOWS_K = 0.3;
/** After so many time constants, or hours where none is known, it stands where it ends. */
const TIME_CONSTANTS = 4;
const UNSEEN_SETTLED_H = 48;
const HOUR_MS = 3_600_000;

/** Null while the beer's temperature or what is in it is not known: then nothing can be planned. */
function planBasis(sources: PlanSources): PlanBasis | null {
  const { nowMs, events, output, estimate, ...rest } = sources;
  const { dissolved, beerTemperature, headspacePressure, ambientKpaAbsolute } = output;
  if (dissolved === null || beerTemperature === null) return null;
  const facts = kegFactsAt(events, nowMs);
  const beerC = beerTemperature.value;
  const { fridgeCelsius } = facts;
  return {
    ...rest,
    nowMs,
    facts,
    ambientKpaAbsolute,
    beerC,
    headspaceKpaGauge: headspacePressure?.value ?? null,
    cooling: fridgeCelsius !== null && beerC > fridgeCelsius + FOLLOWS_K && !isSettled(sources),
    dissolved,
    scouts: estimate.scouts(PLAN_SCOUTS, ambientKpaAbsolute),
    gasSinceMs: events.findLast(({ atMs, body }) => atMs <= nowMs && TOUCHES_GAS.has(body.kind))?.atMs ?? null,
    lastCheckMs: gasChecksOf(events, nowMs).findLast(({ endedAtMs }) => endedAtMs !== null)?.endedAtMs ?? null,
    checkSinceMs: runningCheck(events, nowMs)?.startedAtMs ?? null,
    mayCheck: headspacePressure !== null,
  };
}

/** Has the beer had time to follow its fridge since either was last changed? */
function isSettled({ events, nowMs, coolingConstant }: PlanSources): boolean {
  const changed = events.findLast(({ atMs, body }) => atMs <= nowMs && CHANGES.has(body.kind));
  const hours = (nowMs - (changed?.atMs ?? Number.NEGATIVE_INFINITY)) / HOUR_MS;
  return hours >= (coolingConstant === null ? UNSEEN_SETTLED_H : TIME_CONSTANTS * coolingConstant.hours);
}

const TOUCHES_GAS: ReadonlySet<string> = new Set([
  'regulator-set',
  'gas-opened',
  'gas-closed',
  'gas-check-started',
  'gas-check-ended',
  'keg-vented',
]);
const CHANGES: ReadonlySet<string> = new Set(['keg-filled', 'keg-moved', 'fridge-set']);

/** The plan, or null where nothing can be planned. */
export function planOf(sources: PlanSources): FillPlan | null {
  const basis = planBasis(sources);
  return basis === null ? null : fillPlan(basis);
}
