import type { Site } from '../catalogue.ts';
import type { ScoutRun } from '../estimate/scouts.ts';
import type { HoursAhead } from '../estimate/types.ts';
import type { KegFacts } from '../keg-facts.ts';
import type { VerdictLimits } from '../verdict/limits.ts';
import type { SpokenUnits } from '../words.ts';
import type { BottleGroup } from './bottles.ts';
import type { Needs } from './needs.ts';
import type { SetPoints } from './set-points.ts';

/** Everything that a plan rests on. */
export interface PlanBasis {
  readonly nowMs: number;
  readonly fillAtMs: number;
  readonly bottles: readonly BottleGroup[];
  readonly facts: KegFacts;
  readonly limits: VerdictLimits;
  readonly abvPercent: number | null;
  readonly co2Ratio: number;
  readonly ambientKpaAbsolute: number;
  /** Beer's temperature (°C) and the keg's pressure (kPa gauge) now. */
  readonly beerC: number;
  readonly headspaceKpaGauge: number | null;
  /** True while the beer is still on its way to the fridge's temperature. */
  readonly cooling: boolean;
  readonly coolingConstant: HoursAhead | null;
  /** What is believed to be in the beer now (volumes). */
  readonly dissolved: { readonly low: number; readonly volumes: number; readonly high: number };
  /** Kegs that this one could be. */
  readonly scouts: ScoutRun;
  /** Since when nobody touched the regulator or the valve; null: for ever. */
  readonly gasSinceMs: number | null;
  /** When the last gas check ended; null: there was none. */
  readonly lastCheckMs: number | null;
  /** When the gas check that is going on began; null: none is. */
  readonly checkSinceMs: number | null;
  /** Something measures the pressure, so a check would tell. */
  readonly mayCheck: boolean;
  readonly beerLeftL: number | null;
  readonly gasLeftKg: number | null;
  readonly line: Site['line'];
  readonly workingKpaGaugeMax: number | null;
  /** Names of other beers on the same gas: a higher pressure would reach them too. */
  readonly othersOnGas: readonly string[];
  readonly units: SpokenUnits;
  /** Is it a time of day at which somebody is up? */
  readonly awakeAt: (atMs: number) => boolean;
}

export type StepKind =
  | 'regulator'
  | 'gas-open'
  | 'check-start'
  | 'check-end'
  | 'fridge'
  | 'cold'
  | 'inside'
  | 'bottles'
  | 'rest'
  | 'ready-things'
  | 'set-up'
  | 'look'
  | 'fill'
  | 'end'
  | 'vent-down';

export interface PlanStep {
  readonly kind: StepKind;
  /** Who does it: a person, or the keg by itself. */
  readonly by: 'you' | 'keg';
  readonly atMs: number;
  readonly earliestMs: number;
  readonly latestMs: number;
  /** What to do, in a plain sentence, and why. */
  readonly what: string;
  readonly value: number | null;
  /** UCUM code of the value. */
  readonly unit: string | null;
  readonly why: string;
}

export interface FillPlan {
  readonly fillAtMs: number;
  readonly possible: boolean;
  /** That everything is right at the hour, if the steps are followed. */
  readonly probability: number;
  readonly reason: string;
  readonly steps: readonly PlanStep[];
  readonly needs: Needs;
  readonly setPoints: SetPoints;
  readonly cautions: readonly string[];
  /** When the beer comes into its window; null: not before the hour, or it is inside. */
  readonly insideBetween: { readonly fromMs: number; readonly likelyMs: number; readonly untilMs: number } | null;
  /** What the beer holds at the hour, if nothing is changed after the steps (volumes). */
  readonly atHour: { readonly low: number; readonly volumes: number; readonly high: number };
}
