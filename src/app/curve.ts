import type * as contract from '../contract/index.ts';
import { newKeg } from '../domain/catalogue.ts';
import { type CurveRow, type CurveSeries, curveRows, type Extremes, usualGapMs } from '../domain/curve.ts';
import { DISSOLVED_HOLD_MS, type Dissolved, dissolvedAt } from '../domain/dissolved-curve.ts';
import type { EstimatePoint } from '../domain/estimate-point.ts';
import { explainGaps, type GapMark, holesBetween, type Span } from '../domain/gap.ts';
import { ambientPressure, isAbsoluteSensor, type LiveValue } from '../domain/keg-inputs.ts';
import { calibrated } from '../domain/probe.ts';
import { freshLimits, usualIntervalMs } from '../domain/probe-health.ts';
import type { Quantity } from '../domain/quantity.ts';
import type { VerdictJournal } from '../ports/journal.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import { withoutDoubted } from './curve-doubts.ts';
import type { KegEstimates } from './keg-estimates.ts';
import type { LiveProbes } from './live-probes.ts';
import { instant } from './present.ts';
import type { Register } from './register.ts';

/** Widths of buckets, so that a curve's times are round (ms). */
const WIDTHS_MS = [1, 5, 10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400, 21_600, 43_200, 86_400].map(
  (s) => s * 1000,
);

/** Doubted values of one probe that a curve tells: the newest. */
const DOUBTED_MAX = 100;

/** A series as it is drawn, when anything was heard of it, and what was not believed. */
interface WeighedSeries extends CurveSeries {
  readonly heard: CurveSeries;
  readonly doubted: readonly contract.DoubtedValue[];
}

const NOTHING: CurveSeries = { buckets: [], holdMs: 0 };
const NO_SERIES: WeighedSeries = { ...NOTHING, heard: NOTHING, doubted: [] };

export interface CurveRequest {
  readonly kegId: string;
  readonly fromMs: number;
  readonly toMs: number;
  readonly points: number;
}

export interface CurveSources {
  readonly register: Register;
  readonly probes: LiveProbes;
  readonly store: ReadingStore;
  readonly history: KegEstimates['history'];
  readonly verdicts: Pick<VerdictJournal, 'verdictsWithin'>;
  readonly marks: (fromMs: number, toMs: number) => readonly GapMark[];
}

/** Answers what a keg's temperature, pressure and equilibrium were, reduced so that extremes stay. */
export class CurveQuery {
  readonly #register: Register;
  readonly #probes: LiveProbes;
  readonly #store: ReadingStore;
  readonly #history: KegEstimates['history'];
  readonly #verdicts: Pick<VerdictJournal, 'verdictsWithin'>;
  readonly #marks: CurveSources['marks'];

  constructor({ register, probes, store, history, verdicts, marks }: CurveSources) {
    this.#marks = marks;
    this.#register = register;
    this.#probes = probes;
    this.#store = store;
    this.#history = history;
    this.#verdicts = verdicts;
  }

  async curve({ kegId, fromMs, toMs, points }: CurveRequest): Promise<contract.Curve> {
    const keg = this.#register.keg(kegId) ?? newKeg(kegId);
    const of = (subject: Parameters<LiveProbes['of']>[0], quantity: Quantity) =>
      newest(this.#probes.of(subject), quantity);
    const beer = of({ kind: 'keg', id: kegId }, 'beer-temperature');
    const headspace = of({ kind: 'keg', id: kegId }, 'headspace-pressure');
    const air = of({ kind: 'place', id: keg.placeId }, 'air-temperature');
    const barometer = of({ kind: 'site' }, 'ambient-pressure');
    const bucketMs = bucketWidthMs(toMs - fromMs, points, [beer, headspace]);
    const series = (value: LiveValue | null) => this.#series(value, fromMs, toMs, bucketMs);
    const facts = this.#register.factsOf(keg, toMs);
    const supply = this.#register.supply(keg.supplyId);
    const batch = this.#register.batchAt(kegId, toMs - 1);
    const [beerTemperature, headspacePressure, airTemperature, barometerSeries, estimates] = await Promise.all([
      series(beer),
      series(headspace),
      series(air),
      series(barometer),
      this.#estimates(kegId, fromMs, toMs),
    ]);
    const rows = curveRows({
      bucketMs,
      beerTemperature,
      headspacePressure,
      airTemperature,
      barometer: barometerSeries,
      ambientKpaAbsolute: ambientPressure(null, facts.altitudeMetres, this.#register.site()).kpaAbsolute,
      headspaceIsAbsolute: headspace !== null && isAbsoluteSensor(headspace.probe),
      co2Ratio: supply === null ? 1 : supply.co2Ratio,
    });
    return {
      kegId,
      batchId: batch?.batchId ?? null,
      from: instant(fromMs),
      to: instant(toMs),
      bucketMs,
      columns: columns(rows, dissolvedAt(estimates, bucketMs)),
      verdicts: this.#verdicts
        .verdictsWithin(kegId, fromMs, toMs)
        .map(({ atMs, kind, headline }) => ({ at: instant(atMs), kind, headline })),
      // A probe that said nonsense was not silent.
      gaps: this.#gaps([beerTemperature.heard, headspacePressure.heard], bucketMs, { fromMs, toMs }),
      doubted: [beerTemperature, airTemperature, barometerSeries].flatMap(({ doubted }) => doubted),
    };
  }

  /** Where what is drawn has holes, and why. */
  #gaps(drawn: readonly CurveSeries[], bucketMs: number, span: Span): contract.Gap[] {
    const times = new Set(drawn.flatMap(({ buckets }) => buckets.map(({ startMs }) => startMs)));
    const holes = holesBetween(
      [...times].sort((a, b) => a - b),
      bucketMs,
      usualGapMs(drawn, bucketMs),
      span.toMs,
    );
    const gaps = explainGaps(holes, this.#marks(span.fromMs, span.toMs), span);
    return gaps.map(({ cause, fromMs, toMs }) => ({ from: instant(fromMs), to: instant(toMs), cause }));
  }

  /** Of all batches that were in the keg meanwhile. */
  async #estimates(kegId: string, fromMs: number, toMs: number): Promise<readonly EstimatePoint[]> {
    const batches = this.#register.batches().filter((batch) => {
      return batch.kegId === kegId && batch.beganAtMs < toMs && (batch.endedAtMs ?? toMs) >= fromMs;
    });
    const around = await Promise.all(
      batches.map(({ batchId }) => this.#history(batchId, fromMs - DISSOLVED_HOLD_MS, toMs + DISSOLVED_HOLD_MS)),
    );
    return around.flat().toSorted((a, b) => a.atMs - b.atMs);
  }

  async #series(value: LiveValue | null, fromMs: number, toMs: number, bucketMs: number): Promise<WeighedSeries> {
    if (value === null) return NO_SERIES;
    const { probe, rhythm } = value;
    const { probeId, quantity } = probe;
    const raw = await this.#store.buckets(probeId, fromMs, toMs, bucketMs);
    const { buckets, doubted } = await withoutDoubted(this.#store, { probeId, quantity, fromMs, toMs, bucketMs }, raw);
    const apply = (one: number, atMs: number) => calibrated(probe, one, atMs);
    const holdMs = freshLimits(rhythm).freshForMs;
    return {
      holdMs,
      buckets: buckets.map(({ startMs, min, mean, max, count }) => ({
        startMs,
        min: apply(min, startMs),
        mean: apply(mean, startMs),
        max: apply(max, startMs),
        count,
      })),
      heard: { holdMs, buckets: raw },
      doubted: doubted
        .slice(-DOUBTED_MAX)
        .map(({ atMs, value: said }) => ({ quantity, at: instant(atMs), value: apply(said, atMs) })),
    };
  }
}

function newest(values: readonly LiveValue[], quantity: Quantity): LiveValue | null {
  const same = values.filter(({ probe }) => probe.quantity === quantity);
  return same.toSorted((a, b) => b.rhythm.lastMeasuredAtMs - a.rhythm.lastMeasuredAtMs)[0] ?? null;
}

/** A probe that speaks every 60.2 s still gets buckets of a minute. */
const INTERVAL_SLACK = 0.9;

/** The narrowest round width that gives at most `points` buckets and is no finer than the probes speak. */
function bucketWidthMs(spanMs: number, points: number, values: readonly (LiveValue | null)[]): number {
  const intervals = values.map((value) => (value === null ? 0 : (usualIntervalMs(value.rhythm) ?? 0) * INTERVAL_SLACK));
  const wanted = Math.max(spanMs / points, ...intervals);
  const width = WIDTHS_MS.find((candidate) => candidate >= wanted);
  return width ?? Math.ceil(wanted / 86_400_000) * 86_400_000;
}

function columns(rows: readonly CurveRow[], dissolved: (atMs: number) => Dissolved | null): contract.Curve['columns'] {
  const extremes = (pick: (row: CurveRow) => Extremes | null) => ({
    min: rows.map((row) => pick(row)?.min ?? null),
    mean: rows.map((row) => pick(row)?.mean ?? null),
    max: rows.map((row) => pick(row)?.max ?? null),
  });
  // A row of nulls marks a gap in what was heard; the estimate goes on through it.
  const content = rows.map((row) => dissolved(row.atMs));
  return {
    time: rows.map((row) => instant(row.atMs)),
    beerTemperatureC: extremes((row) => row.beerTemperatureC),
    headspaceKpaGauge: extremes((row) => row.headspaceKpaGauge),
    airTemperatureC: extremes((row) => row.airTemperatureC),
    equilibriumVolumes: rows.map((row) => row.equilibriumVolumes),
    dissolvedVolumes: content.map((one) => one?.volumes ?? null),
    dissolvedLow: content.map((one) => one?.low ?? null),
    dissolvedHigh: content.map((one) => one?.high ?? null),
  };
}
