/** How good the plans are, from kegs that were filled by them and whose truth is known. */

/** One keg, planned for, and filled by the plan if that called the hour possible. */
export interface PlanRun {
  readonly seed: number;
  /** From asking to the wished hour (h). */
  readonly hours: number;
  /** The first plan's word. */
  readonly possible: boolean;
  readonly probability: number;
  readonly reason: string;
  /** What was said and what was true at the hour; null: the hour was not called possible, so nobody followed. */
  readonly outcome: {
    readonly ready: boolean;
    /** Checks that did not pass. */
    readonly amiss: readonly string[];
    readonly chartVolumes: number;
    readonly inside: boolean;
    readonly beerC: number;
    readonly checks: number;
    readonly plans: number;
  } | null;
  /** Someone who knows the keg's true constants could have had it inside its window, cold and at serving pressure. */
  readonly couldBeMet: boolean;
  /** Milliseconds of processor time for the dearest plan. */
  readonly planCpuMsMax: number;
}

export interface PlanScore {
  readonly kegs: number;
  readonly calledPossible: number;
  readonly ready: number;
  readonly inside: number;
  /** Of those that could be met: how many there were, and how many of them were called possible. */
  readonly couldBeMet: number;
  readonly couldBeMetAndCalled: number;
  /** Called possible although nobody could have met it. */
  readonly calledInVain: number;
  readonly readyShare: number;
  readonly insideShare: number;
  readonly calledShare: number;
  /** Probability shown against what came of it. */
  readonly calibration: readonly {
    readonly from: number;
    readonly kegs: number;
    readonly mean: number;
    readonly ready: number;
  }[];
  readonly checksPerKeg: number;
  readonly planCpuMsMax: number;
}

const BINS = [0.5, 0.7, 0.85, 0.94] as const;

export function scorePlans(runs: readonly PlanRun[]): PlanScore {
  const followed = runs.flatMap(({ outcome, probability }) => (outcome === null ? [] : [{ ...outcome, probability }]));
  const meetable = runs.filter(({ couldBeMet }) => couldBeMet);
  const ready = followed.filter((one) => one.ready).length;
  const inside = followed.filter((one) => one.inside).length;
  const called = meetable.filter(({ possible }) => possible).length;
  return {
    kegs: runs.length,
    calledPossible: followed.length,
    ready,
    inside,
    couldBeMet: meetable.length,
    couldBeMetAndCalled: called,
    calledInVain: runs.filter(({ possible, couldBeMet }) => possible && !couldBeMet).length,
    readyShare: ready / followed.length,
    insideShare: inside / followed.length,
    calledShare: called / meetable.length,
    calibration: BINS.map((from, index) => {
      const until = BINS[index + 1] ?? 1;
      const some = followed.filter(({ probability }) => probability >= from && probability < until);
      const mean = some.reduce((sum, one) => sum + one.probability, 0) / some.length;
      return { from, kegs: some.length, mean, ready: some.filter((one) => one.ready).length };
    }),
    checksPerKeg: followed.reduce((sum, one) => sum + one.checks, 0) / followed.length,
    planCpuMsMax: Math.max(0, ...runs.map(({ planCpuMsMax }) => planCpuMsMax)),
  };
}
