/** How good the estimate is, from runs of which the truth is known. */
import type { ReplayLine } from '../contract/replay.ts';

/** What was truly so at a moment. */
export interface TruthAt {
  readonly atMs: number;
  readonly chartVolumes: number;
  readonly beerC: number;
  readonly leaking: boolean;
}

/** One situation with one seed, replayed. */
export interface ScoredRun {
  readonly situation: string;
  readonly group: string;
  readonly seed: number;
  readonly filledAtMs: number;
  /** Window and temperature that the brewer wants; as the entries leave them. */
  readonly window: { readonly low: number; readonly high: number; readonly coldC: number };
  readonly lines: readonly ReplayLine[];
  /** At the times of the lines. */
  readonly truths: readonly TruthAt[];
  /** Seconds of processor time, and steps of the estimate in it. */
  readonly cpuS: number;
  readonly steps: number;
}

/** A row of the table: errors in chart volumes. */
export interface ScoreRow {
  readonly name: string;
  readonly samples: number;
  /** Root mean square error of the estimate, and of taking the equilibrium for it. */
  readonly rmse: number;
  readonly equilibriumRmse: number;
  /** 95 % of errors are no larger. */
  readonly p95: number;
  /** Share of truths inside the 90 % band, and the band's mean width. */
  readonly coverage: number;
  readonly meanWidth: number;
}

export interface TimeScore {
  readonly samples: number;
  readonly medianErrorHours: number;
  /** Median of error over the time that was truly left. */
  readonly medianErrorRatio: number;
}

export interface Score {
  readonly rows: readonly ScoreRow[];
  readonly ready: TimeScore;
  readonly cold: TimeScore;
  readonly leaks: {
    readonly leaking: number;
    readonly found: number;
    /** From the leak's beginning to the word (h); of those found. */
    readonly medianHours: number | null;
    readonly tight: number;
    /** Tight kegs of which a leak was once called likely. */
    readonly falseAlarms: number;
  };
  readonly cpuMsPerStep: number;
  /** The dearest run: seconds of processor time for two weeks of a keg. */
  readonly cpuSPerTwoWeeksMax: number;
}

const HOUR_MS = 3600_000;
const SAMPLE_HOURS = 3;
const FIRST_HOUR = 6;

interface Sample {
  readonly run: ScoredRun;
  readonly hour: number;
  readonly error: number;
  readonly equilibriumError: number | null;
  readonly covered: boolean;
  readonly width: number;
}

type Pick = (sample: Sample) => boolean;

/** Rows that ask for something of their own, beside one a group. */
const SPECIAL: readonly (readonly [string, Pick])[] = [
  ['no check, day 3', ({ run, hour }) => run.situation.startsWith('set-and-forget') && hour >= 72 && hour < 96],
  ['4 h checks, day 7', ({ run, hour }) => run.situation === 'check-4h-odd-days' && hour >= 174 && hour < 192],
  ['1 h checks daily, day 7', ({ run, hour }) => run.situation === 'check-1h-daily' && hour >= 171 && hour < 192],
];

/** Scores runs: every three hours from the sixth on. */
export function scoreRuns(runs: readonly ScoredRun[]): Score {
  const samples = runs.flatMap(samplesOf);
  const groups = [...new Set(runs.map(({ group }) => group))];
  const rows = [
    rowOf('all', samples),
    ...SPECIAL.map(([name, pick]) => rowOf(name, samples.filter(pick))),
    ...groups.map((group) =>
      rowOf(
        group,
        samples.filter(({ run }) => run.group === group),
      ),
    ),
  ].filter((row) => row.samples > 0);
  const steps = runs.reduce((sum, run) => sum + run.steps, 0);
  const cpuS = runs.reduce((sum, run) => sum + run.cpuS, 0);
  return {
    rows,
    ready: timeScore(runs.flatMap(readyErrors)),
    cold: timeScore(runs.flatMap(coldErrors)),
    leaks: leakScore(runs),
    cpuMsPerStep: (1000 * cpuS) / Math.max(1, steps),
    cpuSPerTwoWeeksMax: Math.max(0, ...runs.map((run) => (run.cpuS / Math.max(1, run.steps)) * 4032)),
  };
}

/** One row a situation, worst first. */
export function situationRows(runs: readonly ScoredRun[]): ScoreRow[] {
  const bySituation = Map.groupBy(runs, ({ situation }) => situation);
  return [...bySituation]
    .map(([name, same]) => rowOf(name, same.flatMap(samplesOf)))
    .toSorted((a, b) => b.rmse - a.rmse);
}

function samplesOf(run: ScoredRun): Sample[] {
  const truthAt = new Map(run.truths.map((truth) => [truth.atMs, truth]));
  return run.lines.flatMap((line) => {
    const atMs = Date.parse(line.t);
    const hour = (atMs - run.filledAtMs) / HOUR_MS;
    const truth = truthAt.get(atMs);
    if (truth === undefined || hour < FIRST_HOUR || hour % SAMPLE_HOURS !== 0) return [];
    return {
      run,
      hour,
      error: line.dissolvedVolumes - truth.chartVolumes,
      equilibriumError: line.equilibriumVolumes === null ? null : line.equilibriumVolumes - truth.chartVolumes,
      covered: truth.chartVolumes >= line.low && truth.chartVolumes <= line.high,
      width: line.high - line.low,
    };
  });
}

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
const rootMeanSquare = (values: readonly number[]): number => Math.sqrt(mean(values.map((value) => value * value)));

function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
}

function rowOf(name: string, samples: readonly Sample[]): ScoreRow {
  const errors = samples.map(({ error }) => error);
  return {
    name,
    samples: samples.length,
    rmse: rootMeanSquare(errors),
    equilibriumRmse: rootMeanSquare(samples.flatMap(({ equilibriumError }) => equilibriumError ?? [])),
    p95: quantile(errors.map(Math.abs), 0.95),
    coverage: mean(samples.map(({ covered }) => (covered ? 1 : 0))),
    meanWidth: mean(samples.map(({ width }) => width)),
  };
}

interface TimeError {
  readonly errorHours: number;
  readonly trueHours: number;
}

function timeScore(errors: readonly TimeError[]): TimeScore {
  return {
    samples: errors.length,
    medianErrorHours: quantile(
      errors.map(({ errorHours }) => errorHours),
      0.5,
    ),
    medianErrorRatio: quantile(
      errors.map(({ errorHours, trueHours }) => errorHours / trueHours),
      0.5,
    ),
  };
}

/** Times told, against when it truly came; only where it did come, and not in its last hour. */
function timeErrors(
  run: ScoredRun,
  told: (line: ReplayLine) => number | null,
  came: (truth: TruthAt) => boolean,
): TimeError[] {
  const first = run.truths.find(came);
  if (first === undefined) return [];
  return run.lines.flatMap((line) => {
    const atMs = Date.parse(line.t);
    const hours = told(line);
    const trueHours = (first.atMs - atMs) / HOUR_MS;
    const due = (atMs - run.filledAtMs) % (SAMPLE_HOURS * HOUR_MS) === 0;
    return hours === null || !due || trueHours < 1 ? [] : [{ errorHours: Math.abs(hours - trueHours), trueHours }];
  });
}

const readyErrors = (run: ScoredRun): TimeError[] =>
  timeErrors(
    run,
    ({ readyInHours }) => readyInHours,
    ({ chartVolumes }) => chartVolumes >= run.window.low && chartVolumes <= run.window.high,
  );

const coldErrors = (run: ScoredRun): TimeError[] =>
  timeErrors(
    run,
    ({ coldInHours }) => coldInHours,
    ({ beerC }) => beerC <= run.window.coldC,
  );

function leakScore(runs: readonly ScoredRun[]): Score['leaks'] {
  const leaking = runs.filter(({ truths }) => truths.some((truth) => truth.leaking));
  const tight = runs.filter((run) => !leaking.includes(run));
  const saysLikely = (run: ScoredRun, fromMs: number) =>
    run.lines.find(({ t, leak }) => leak === 'likely' && Date.parse(t) >= fromMs);
  const hours = leaking.flatMap((run) => {
    const fromMs = run.truths.find((truth) => truth.leaking)?.atMs ?? run.filledAtMs;
    const line = saysLikely(run, fromMs);
    return line === undefined ? [] : [(Date.parse(line.t) - fromMs) / HOUR_MS];
  });
  return {
    leaking: leaking.length,
    found: hours.length,
    medianHours: hours.length === 0 ? null : quantile(hours, 0.5),
    tight: tight.length,
    falseAlarms: tight.filter((run) => saysLikely(run, run.filledAtMs) !== undefined).length,
  };
}
