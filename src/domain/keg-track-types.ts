import type { ClosedKegs } from './estimate/closed-kegs.ts';
import type { Belief, KegLearning } from './estimate/learning.ts';
import type { Prospect, ProspectConditions } from './estimate/prospect.ts';
import type { ScoutRun } from './estimate/scouts.ts';
import type { DissolvedEstimate, EstimateStep, Filling, HoursAhead } from './estimate/types.ts';
import type { Target } from './keg-facts.ts';
import type { Newest } from './keg-track-inputs.ts';

/** An estimate at work on one batch. */
export interface RunningEstimate {
  advance(step: EstimateStep): void;
  estimate(): DissolvedEstimate;
  /** Probability that the beer holds between two contents (volumes). */
  probabilityWithin(low: number, high: number): number;
  probabilityAbove(volumes: number): number;
  hoursUntil(
    goal: { readonly low: number; readonly high: number },
    ahead: {
      readonly beerC: number;
      readonly headspaceKpaGauge: number;
      readonly ambientKpaAbsolute: number;
      readonly horizonHours: number;
    },
  ): HoursAhead | null;
  /** Hours until the belief that the beer holds more than that reaches `risk`; null: not within the horizon. */
  hoursUntilAbove(
    volumes: number,
    ahead: {
      readonly beerC: number;
      readonly headspaceKpaGauge: number;
      readonly ambientKpaAbsolute: number;
      readonly horizonHours: number;
    },
    risk: number,
  ): number | null;
  /** The content to come along a path of temperatures and pressures; hours count from now and rise. */
  forecast(
    path: readonly { readonly hours: number; readonly beerC: number; readonly kpaGauge: number }[],
    ambientKpaAbsolute: number,
  ): readonly { readonly hours: number; readonly low: number; readonly volumes: number; readonly high: number }[];
  /** What comes of constant conditions, with how likely it gets into a window and past it. */
  prospect(conditions: ProspectConditions): Prospect;
  /** A few of the kegs that this one could be, with the gas closed now: what a check would show if they were it. */
  closedKegs(choice: { readonly count: number; readonly seed: number; readonly shakeS: number }): ClosedKegs;
  /** A few of the kegs that this one could be, equally likely, to lead them along ways that somebody wants to try. */
  scouts(count: number, ambientKpaAbsolute: number): ScoutRun;
  /** One like it that goes on by itself; cheaper than a snapshot. */
  copy(): RunningEstimate;
  /** What the batch has taught of the keg so far. */
  learning(): KegLearning;
  snapshot(): unknown;
}

/** Where a cooling beer is going. */
export interface CoolingWatch {
  observe(atMs: number, beerC: number): void;
  hoursUntil(goalC: number, nowMs: number): HoursAhead | null;
  /** How fast this keg follows its fridge: time constant (h) with its 90 % range; null: nothing measured yet. */
  timeConstant(): HoursAhead | null;
  /** What it says of the keg for its next batch (ln h); null: it was too little of a cooling. */
  taught(): Belief | null;
}

/** Begins estimates and takes them up again where a snapshot left them. */
export interface EstimateModel {
  begin(
    filling: Filling,
    ambient: { readonly kpaAbsolute: number; readonly fromBarometer: boolean },
    options: { readonly seed: number; readonly learning?: KegLearning },
  ): RunningEstimate;
  resume(snapshot: unknown): RunningEstimate;
  /** `setC`: what the fridge is set to; `startC`: the beer at the start; `learnt`: of the keg's last cooling (ln h). */
  watchCooling(
    setC: number,
    startC: number,
    litres: number,
    place: Filling['thermometer'],
    learnt: Belief | null,
  ): CoolingWatch;
}

export interface TrackSetup {
  /** Altitude where no filling names one (m). */
  readonly altitudeM: number;
  /** Share of CO2 in the gas; null: unknown, so what is dissolved cannot be estimated. */
  readonly co2Ratio: number | null;
  /** The same seed and the same input give the same output, bit for bit. */
  readonly seed: number;
  /** Readings and entries older than this are no longer taken (ms). */
  readonly keepMs: number;
  /** Steps from here on are computed; from the first entry on if left out (ms). */
  readonly fromMs?: number;
  /** Going back is possible to every so many steps; more take less memory and longer to go back. Three if left out. */
  readonly markSteps?: number;
  /** What the keg's last batch taught of it. */
  readonly learnt?: KegLearning;
}

/** All that is said of a batch at a moment. */
export interface TrackOutput {
  readonly atMs: number;
  /** Id of the filling, which is the id of the batch. */
  readonly batchId: string;
  readonly filledAtMs: number;
  /** What the beer would hold in the end (volumes); null while temperature or pressure is not known. */
  readonly equilibriumVolumes: number | null;
  /** What it holds now; null only where the gas's share of CO2 is unknown. */
  readonly dissolved: DissolvedEstimate | null;
  /** Probability that the beer is inside its window, and that it is past it. */
  readonly insideProbability: number;
  readonly aboveProbability: number;
  readonly target: Target;
  readonly beerTemperature: Newest | null;
  readonly headspacePressure: Newest | null;
  readonly ambientKpaAbsolute: number;
  readonly ambientFromBarometer: boolean;
  /** Until waiting alone brings the beer into its window; null if it is inside, or never within a week. */
  readonly readyIn: HoursAhead | null;
  /** Until the risk that the beer is past its window's top reaches 5 % (h); 0: it does now; null: not within a week. */
  readonly passesTopInHours: number | null;
  /** How far pressure (kPa) and temperature (°C) moved within the last half hour; null: too little was heard. */
  readonly steadiness: { readonly kpa: number; readonly celsius: number; readonly missedSteps: number } | null;
  /** Until the beer is at its fill temperature and half a degree; null if it is, or never gets there. */
  readonly coldIn: HoursAhead | null;
}
