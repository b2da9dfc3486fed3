import type { Belief, KegLearning } from '../../src/domain/estimate/learning.ts';
import type { DissolvedEstimate, EstimateStep, Filling, HoursAhead } from '../../src/domain/estimate/types.ts';
import type { EstimateModel, RunningEstimate } from '../../src/domain/keg-track-types.ts';

/** An estimate that estimates nothing and keeps all that it was told: two of the same past are equal, and no others. */
export class RecordedEstimate implements RunningEstimate {
  readonly told: string[];
  /** What it answers. */
  readonly answers: RecordedAnswers;

  constructor(answers: RecordedAnswers, told: readonly string[]) {
    this.answers = answers;
    this.told = [...told];
  }

  advance(step: EstimateStep): void {
    this.told.push(JSON.stringify(step));
  }

  steps(): EstimateStep[] {
    return this.told.slice(1).map((text) => JSON.parse(text));
  }

  begunWith(): unknown {
    return JSON.parse(this.told[0] ?? 'null');
  }

  estimate(): DissolvedEstimate {
    const volumes = this.told.length / 1000;
    return {
      atMs: 0,
      low: volumes,
      volumes,
      high: volumes,
      equilibriumVolumes: null,
      gas: 'unknown',
      disagreement: null,
      leak: 'none',
      leakProbability: 0,
      airKpa: 0,
      probeZeroKpa: 0,
      probeZeroPlusMinusKpa: 0,
      ...this.answers.estimate,
    };
  }

  probabilityWithin = () => 0.25;
  probabilityAbove = () => this.answers.above ?? 0.01;

  hoursUntil(_goal: object, ahead: { readonly beerC: number; readonly headspaceKpaGauge: number }): HoursAhead | null {
    this.answers.asked?.push(ahead);
    return this.answers.hours ?? null;
  }

  hoursUntilAbove = () => 33;
  forecast = () => [];

  scouts(): never {
    throw new Error('a recorded estimate leads no scouts; use the real one');
  }

  prospect() {
    return { course: [], insideIn: null, insideProbability: 0, passingProbability: 0, passingHours: null };
  }

  closedKegs = () => ({ after: () => new Float64Array() });
  learning(): KegLearning {
    const belief = { mean: this.told.length, sd: 1 };
    return { lnTau: belief, logitSurface: belief, lnDepth: belief, logitDeep: belief };
  }

  copy = () => new RecordedEstimate(this.answers, this.told);
  snapshot = () => this.told;
}

export interface RecordedAnswers {
  readonly estimate?: Partial<DissolvedEstimate>;
  readonly hours?: HoursAhead | null;
  readonly above?: number;
  /** Receives what hours were asked for. */
  readonly asked?: { readonly beerC: number; readonly headspaceKpaGauge: number }[];
}

export interface Watched {
  readonly setC: number;
  readonly startC: number;
  readonly litres: number;
  readonly place: Filling['thermometer'];
  readonly fed: number[];
  readonly learnt: Belief | null;
}

/** The model of such estimates; `watched` receives the temperatures that the cooling was fed. */
export function recordedModel(answers: RecordedAnswers = {}, watched: Watched[] = []): EstimateModel {
  return {
    begin: (filling, ambient, options) =>
      new RecordedEstimate(answers, [JSON.stringify({ filling, ambient, ...options })]),
    resume: (snapshot) => new RecordedEstimate(answers, snapshot as readonly string[]),
    watchCooling(setC, startC, litres, place, learnt) {
      const fed: number[] = [];
      watched.push({ setC, startC, litres, place, fed, learnt });
      return {
        observe: (_atMs, beerC) => fed.push(beerC),
        hoursUntil: () => ({ hours: fed.length, lowHours: 0, highHours: 0 }),
        timeConstant: () => ({ hours: fed.length, lowHours: 0, highHours: 0 }),
        taught: () => (fed.length === 0 ? null : { mean: fed.length, sd: fed[0] ?? 0 }),
      };
    },
  };
}
