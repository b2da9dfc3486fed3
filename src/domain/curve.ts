import { equilibriumOrNull } from './equilibrium.ts';
import type { ReadingBucket } from './reading.ts';

/** A calibrated series in buckets, oldest first, and how long its last value may stand for a missing one (ms). */
export interface CurveSeries {
  readonly buckets: readonly ReadingBucket[];
  readonly holdMs: number;
}

export interface CurveInput {
  readonly bucketMs: number;
  readonly beerTemperature: CurveSeries;
  readonly headspacePressure: CurveSeries;
  readonly airTemperature: CurveSeries;
  readonly barometer: CurveSeries;
  /** Air pressure where the barometer is silent (kPa absolute). */
  readonly ambientKpaAbsolute: number;
  /** The headspace sensor gives absolute pressure. */
  readonly headspaceIsAbsolute: boolean;
  readonly co2Ratio: number | null;
}

export interface Extremes {
  readonly min: number;
  readonly mean: number;
  readonly max: number;
}

/** One moment of a curve; nulls where nothing was heard. */
export interface CurveRow {
  readonly atMs: number;
  readonly beerTemperatureC: Extremes | null;
  readonly headspaceKpaGauge: Extremes | null;
  readonly airTemperatureC: Extremes | null;
  readonly equilibriumVolumes: number | null;
}

/** Joins series to rows. Between rows that lie farther apart than a silence is usual, a row of nulls marks the gap. */
export function curveRows(input: CurveInput): CurveRow[] {
  const { bucketMs, beerTemperature, headspacePressure, airTemperature, barometer } = input;
  const drawn = [beerTemperature, headspacePressure];
  const times = new Set(drawn.flatMap(({ buckets }) => buckets.map((bucket) => bucket.startMs)));
  const gapMs = usualGapMs(drawn, bucketMs);
  const at = [beerTemperature, headspacePressure, airTemperature, barometer].map(follow);
  const rows: CurveRow[] = [];
  for (const atMs of [...times].sort((a, b) => a - b)) {
    const last = rows.at(-1);
    if (last !== undefined && atMs - last.atMs > gapMs) rows.push(gapRow(last.atMs + bucketMs));
    const [beer = null, headspace = null, air = null, ambient = null] = at.map((value) => value(atMs));
    rows.push(row(atMs, input, beer, headspace, air, ambient));
  }
  return rows;
}

/** Values farther apart than this have a gap between them (ms). */
export function usualGapMs(drawn: readonly CurveSeries[], bucketMs: number): number {
  return Math.max(bucketMs * 1.5, ...drawn.map(({ holdMs }) => holdMs));
}

function row(
  atMs: number,
  input: CurveInput,
  beer: Extremes | null,
  headspace: Extremes | null,
  air: Extremes | null,
  ambient: Extremes | null,
): CurveRow {
  const ambientKpaAbsolute = ambient?.mean ?? input.ambientKpaAbsolute;
  const shift = input.headspaceIsAbsolute ? -ambientKpaAbsolute : 0;
  const gauge =
    headspace === null
      ? null
      : { min: headspace.min + shift, mean: headspace.mean + shift, max: headspace.max + shift };
  const equilibriumVolumes =
    beer === null || gauge === null
      ? null
      : equilibriumOrNull(beer.mean, gauge.mean, ambientKpaAbsolute, input.co2Ratio);
  return { atMs, beerTemperatureC: beer, headspaceKpaGauge: gauge, airTemperatureC: air, equilibriumVolumes };
}

function gapRow(atMs: number): CurveRow {
  return { atMs, beerTemperatureC: null, headspaceKpaGauge: null, airTemperatureC: null, equilibriumVolumes: null };
}

/** Walks along a series: the bucket of each time, else the last mean while it may still stand. Times must not fall. */
function follow({ buckets, holdMs }: CurveSeries): (atMs: number) => Extremes | null {
  let index = -1;
  return (atMs) => {
    for (;;) {
      const next = buckets[index + 1];
      if (next === undefined || next.startMs > atMs) break;
      index += 1;
    }
    const bucket = buckets[index];
    if (bucket === undefined) return null;
    if (bucket.startMs === atMs) return bucket;
    return atMs - bucket.startMs <= holdMs ? { min: bucket.mean, mean: bucket.mean, max: bucket.mean } : null;
  };
}
