import type * as contract from '../contract/index.ts';
import type { Keg } from '../domain/catalogue.ts';
import { STEP_MS } from '../domain/clean/step.ts';
import type { DissolvedEstimate } from '../domain/estimate/types.ts';
import { adviseCheck } from '../domain/gas-check/advice.ts';
import { type GasCheck, gasChecksOf } from '../domain/gas-check/checks.ts';
import { readClosedCourse } from '../domain/gas-check/closed-course.ts';
import { type Expectation, expectations } from '../domain/gas-check/expected.ts';
import {
  type ClosedPressure,
  type Tightness,
  tightnessOfEmpty,
  tightnessOfFilled,
} from '../domain/gas-check/tightness.ts';
import { adviceWords, readingWords, resultWords, tightnessWords } from '../domain/gas-check/words.ts';
import type { TrackOutput } from '../domain/keg-track-types.ts';
import type { EstimatePoint, KegEstimates } from './keg-estimates.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import type { PastPressure } from './past-pressure.ts';
import { instant } from './present.ts';
import type { Register } from './register.ts';

export interface GasCheckOptions {
  readonly register: Register;
  readonly estimates: KegEstimates;
  readonly pressures: PastPressure;
  readonly nowMs: () => number;
  /** Resolves as soon as others had their turn: long work is done in parts. */
  readonly breathe: () => Promise<void>;
}

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** How far before a check its pressure and its band are looked for (ms), and after it for what it left. */
const AROUND_MS = 30 * MINUTE_MS;
/** Points of a running check's course; widths of its steps, so that they lie on whole ones (ms). */
const COURSE_POINTS = 200;
const WIDTHS_MS = [5, 15, 30, 60, 180, 720, 1440].map((minutes) => minutes * MINUTE_MS);
/** A keg filled less long ago is one that may still be sealed better before it is chilled (ms). */
const JUST_FILLED_MS = 24 * HOUR_MS;
/** Results that are told: older ones no longer help anyone. */
const RESULTS = 30;

interface Foreseen {
  /** Which step of which course the expectation is of. */
  readonly key: string;
  readonly expected: Promise<readonly Expectation[]>;
}

/** Everything about a keg that a report is drawn from. */
interface KegNow {
  readonly keg: Keg;
  readonly batchId: string | null;
  readonly output: TrackOutput | null;
  readonly nowMs: number;
}

/** Tells of the gas checks of a keg: the one that is going on, what one would be worth, and what earlier ones found. */
export class GasChecks {
  readonly #options: GasCheckOptions;
  readonly #foreseen = new Map<string, Foreseen>();

  constructor(options: GasCheckOptions) {
    this.#options = options;
  }

  /** Refused for an unknown keg. Rejects with `PastUnreadableError` when the store does not answer. */
  async report(kegId: string): Promise<Outcome<contract.GasCheckReport>> {
    const { register, estimates, nowMs } = this.#options;
    const keg = register.keg(kegId);
    if (keg === null) return refuse('keg-unknown', `There is no keg ${kegId} in the catalogue. Add it first.`);
    const atMs = nowMs();
    const batchId = register.batchAt(kegId, atMs)?.batchId ?? null;
    const output = batchId === null ? null : estimates.output(kegId);
    const now: KegNow = { keg, batchId, output, nowMs: atMs };
    const checks = gasChecksOf(register.eventsOf(keg), atMs);
    const going = checks.find(({ endedAtMs }) => endedAtMs === null) ?? null;
    const over = checks.filter((check) => check.endedAtMs !== null && check.batchId === batchId);
    const expected = await this.#expected(now, going);
    const dissolved = output?.dissolved ?? null;
    const advice = adviseCheck({
      hasBatch: batchId !== null,
      co2RatioKnown: register.supply(keg.supplyId)?.co2Ratio !== null,
      pressureHeard: this.#options.pressures.isHeard(kegId, atMs),
      temperatureHeard: output === null || output.beerTemperature !== null,
      plusMinus: dissolved === null ? null : (dissolved.high - dissolved.low) / 2,
      insideProbability: output?.insideProbability ?? 0,
      expected,
      running: going !== null,
    });
    return done({
      kegId,
      at: instant(atMs),
      batchId,
      running: going === null ? null : await this.#running(now, going, advice.kind === 'enough'),
      plusMinusNow: dissolved === null ? null : (dissolved.high - dissolved.low) / 2,
      expected: [...expected],
      advice: adviceWords(advice, register.site().units),
      results: await this.#results(now, over.slice(-RESULTS).reverse()),
    });
  }

  /** Worked out once a step: it takes a good part of a second. */
  #expected({ keg, output, nowMs }: KegNow, going: GasCheck | null): Promise<readonly Expectation[]> {
    const estimate = this.#options.estimates.fork(keg.kegId);
    const co2Ratio = this.#options.register.supply(keg.supplyId)?.co2Ratio ?? null;
    const beer = output?.beerTemperature ?? null;
    if (
      estimate === null ||
      co2Ratio === null ||
      output === null ||
      beer === null ||
      output.headspacePressure === null
    ) {
      return Promise.resolve([]);
    }
    const { atMs } = estimate.estimate();
    const key = `${output.batchId} ${atMs} ${going?.startedAtMs ?? 'open'}`;
    const known = this.#foreseen.get(keg.kegId);
    if (known?.key === key) return known.expected;
    const { ambientKpaAbsolute, ambientFromBarometer } = output;
    const runningHours = going === null ? null : (nowMs - going.startedAtMs) / HOUR_MS;
    const present = { beerC: beer.value, ambientKpaAbsolute, ambientFromBarometer, co2Ratio, runningHours };
    const expected = this.#inParts(expectations(estimate, present));
    this.#foreseen.set(keg.kegId, { key, expected });
    return expected;
  }

  async #inParts<T>(parts: Generator<void, T>): Promise<T> {
    for (;;) {
      const part = parts.next();
      if (part.done === true) return part.value;
      await this.#options.breathe();
    }
  }

  async #running({ keg, batchId, output, nowMs }: KegNow, check: GasCheck, enough: boolean) {
    const { startedAtMs, shaken } = check;
    const spanMs = nowMs - startedAtMs;
    const widthMs = WIDTHS_MS.find((width) => spanMs / width <= COURSE_POINTS - 1) ?? 7 * 24 * HOUR_MS;
    const [pressures, points] = await Promise.all([
      this.#options.pressures.steps(keg, startedAtMs - AROUND_MS, nowMs, STEP_MS),
      this.#history(batchId, startedAtMs - AROUND_MS, nowMs + 1),
    ]);
    const before = pressures.findLast(({ atMs }) => atMs + STEP_MS <= startedAtMs) ?? null;
    const steps = pressures.filter(({ atMs }) => atMs + STEP_MS > startedAtMs);
    const dissolved = output?.dissolved ?? null;
    const course = { startedAtMs, nowMs, shaken, beforeKpaGauge: before?.kpaGauge ?? null, steps, dissolved };
    const { units } = this.#options.register.site();
    const tightness = this.#tightness(check, steps, nowMs, dissolved);
    return {
      startedAt: instant(startedAtMs),
      shaken,
      hours: spanMs / HOUR_MS,
      kpaGaugeBefore: before?.kpaGauge ?? null,
      kpaGaugeNow: output?.headspacePressure?.value ?? steps.at(-1)?.kpaGauge ?? null,
      bandBefore: bandOf(points.findLast(({ atMs }) => atMs <= startedAtMs)),
      bandNow: bandOf(dissolved ?? undefined),
      leak: dissolved?.leak ?? null,
      tightness,
      enough: batchId === null ? tightness?.finding === 'tight' || tightness?.finding === 'leaks' : enough,
      says: [
        ...(batchId === null ? [] : [readingWords(readClosedCourse(course), course, units)]),
        ...(tightness === null ? [] : [tightnessWords(tightness, batchId === null, units)]),
      ].join(' '),
      course: courseColumns(steps, points, startedAtMs, nowMs, widthMs),
    };
  }

  async #results({ keg, batchId }: KegNow, checks: readonly GasCheck[]): Promise<contract.GasCheckResult[]> {
    const oldest = checks.at(-1);
    const newest = checks[0];
    if (oldest === undefined || newest === undefined) return [];
    const { units } = this.#options.register.site();
    const untilMs = (newest.endedAtMs ?? newest.startedAtMs) + 2 * AROUND_MS;
    const points = await this.#history(batchId, oldest.startedAtMs - AROUND_MS, untilMs);
    return Promise.all(
      checks.map(async ({ startedAtMs, endedAtMs, shaken }) => {
        const endMs = endedAtMs ?? startedAtMs;
        const pressures = await this.#options.pressures.steps(keg, startedAtMs - AROUND_MS, endMs, STEP_MS);
        const before = points.findLast(({ atMs }) => atMs <= startedAtMs && atMs > startedAtMs - AROUND_MS);
        // What the end of the check taught is known a quarter of an hour later at the latest.
        const after = points.find(({ atMs }) => atMs >= endMs && atMs <= endMs + AROUND_MS);
        const leak = after?.leak ?? null;
        const hours = (endMs - startedAtMs) / HOUR_MS;
        const steps = pressures.filter(({ atMs }) => atMs >= startedAtMs);
        const tightness = this.#tightness({ startedAtMs, batchId }, steps, endMs, null);
        const words = resultWords({ hours, shaken, before: before ?? null, after: after ?? null, leak }, units);
        return {
          startedAt: instant(startedAtMs),
          endedAt: instant(endMs),
          shaken,
          kpaGaugeBefore: pressures.findLast(({ atMs }) => atMs + STEP_MS <= startedAtMs)?.kpaGauge ?? null,
          kpaGaugeAfter:
            pressures.findLast(({ atMs }) => atMs >= startedAtMs && atMs + STEP_MS <= endMs)?.kpaGauge ?? null,
          bandBefore: bandOf(before),
          bandAfter: bandOf(after),
          leak,
          tightness,
          says: tightness === null ? words : `${words} ${tightnessWords(tightness, true, units)}`,
        };
      }),
    );
  }

  /** Of an empty keg by its pressures, of one filled less than a day ago by the estimate; else null. */
  #tightness(
    { startedAtMs, batchId }: Pick<GasCheck, 'startedAtMs' | 'batchId'>,
    steps: readonly ClosedPressure[],
    untilMs: number,
    dissolved: DissolvedEstimate | null,
  ): Tightness | null {
    if (batchId === null) return tightnessOfEmpty(steps, startedAtMs);
    const filledAtMs = this.#options.register.batch(batchId)?.beganAtMs ?? untilMs;
    if (dissolved === null || untilMs - filledAtMs > JUST_FILLED_MS) return null;
    return tightnessOfFilled(dissolved, (untilMs - startedAtMs) / HOUR_MS);
  }

  #history(batchId: string | null, fromMs: number, toMs: number): Promise<readonly EstimatePoint[]> {
    return batchId === null ? Promise.resolve([]) : this.#options.estimates.history(batchId, fromMs, toMs);
  }
}

type Band = contract.GasCheckResult['bandAfter'];

function bandOf(point: { volumes: number; low: number; high: number } | undefined): Band {
  return point === undefined ? null : { volumes: point.volumes, low: point.low, high: point.high };
}

/** Columns over whole steps since the start; what was not heard or said in one is null. */
function courseColumns(
  pressures: readonly ClosedPressure[],
  points: readonly EstimatePoint[],
  startedAtMs: number,
  nowMs: number,
  widthMs: number,
): contract.RunningGasCheck['course'] {
  const stepOf = (atMs: number) => Math.floor(atMs / widthMs) * widthMs;
  const heard = Map.groupBy(pressures, ({ atMs }) => stepOf(atMs));
  const said = new Map(points.filter(({ atMs }) => atMs >= startedAtMs).map((point) => [stepOf(point.atMs), point]));
  const times: number[] = [];
  for (let atMs = stepOf(startedAtMs); atMs < nowMs; atMs += widthMs) times.push(atMs);
  return {
    time: times.map((atMs) => instant(Math.max(atMs, startedAtMs))),
    headspaceKpaGauge: times.map((atMs) => meanOf(heard.get(atMs) ?? [])),
    volumes: times.map((atMs) => said.get(atMs)?.volumes ?? null),
    low: times.map((atMs) => said.get(atMs)?.low ?? null),
    high: times.map((atMs) => said.get(atMs)?.high ?? null),
  };
}

function meanOf(points: readonly ClosedPressure[]): number | null {
  if (points.length === 0) return null;
  return points.reduce((sum, { kpaGauge }) => sum + kpaGauge, 0) / points.length;
}
