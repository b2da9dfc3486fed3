import type { Curve, DoubtedValue } from '../../../src/contract/curve.ts';
import type { Gap } from '../../../src/contract/delivery.ts';
import type { SaidVerdict } from '../verdict-strip/words.ts';

type Column = readonly (number | null)[];

/** The columns of a curve as the charts take them: times in seconds, and plain columns. */
export interface CurveColumns {
  readonly timeS: readonly number[];
  readonly end: Column;
  readonly dissolved: Column;
  readonly dissolvedLow: Column;
  readonly dissolvedHigh: Column;
  readonly beer: Extremes;
  readonly pressure: Extremes;
  readonly air: Extremes;
  readonly verdicts: readonly SaidVerdict[];
  /** Where readings are missing, and why; null if the service does not say. */
  readonly gaps: readonly CausedGap[] | null;
  /** What probes said and cannot be true, in order. */
  readonly doubted: readonly Doubted[];
}

/** A value that is drawn beside the line (°C or kPa absolute). */
export interface Doubted {
  readonly quantity: DoubtedValue['quantity'];
  readonly atMs: number;
  readonly value: number;
}

/** A span in which readings are missing. */
export interface CausedGap {
  readonly fromMs: number;
  readonly toMs: number;
  readonly cause: Gap['cause'];
}

export interface Extremes {
  readonly min: Column;
  readonly mean: Column;
  readonly max: Column;
}

export function readCurve(curve: Curve): CurveColumns {
  const { columns } = curve;
  return {
    timeS: columns.time.map((at) => Date.parse(at) / 1000),
    end: columns.equilibriumVolumes,
    dissolved: columns.dissolvedVolumes,
    dissolvedLow: columns.dissolvedLow,
    dissolvedHigh: columns.dissolvedHigh,
    beer: columns.beerTemperatureC,
    pressure: columns.headspaceKpaGauge,
    air: columns.airTemperatureC,
    verdicts: curve.verdicts.map(({ at, kind, headline }) => ({ atMs: Date.parse(at), kind, headline })),
    doubted: (curve.doubted ?? []).map(({ quantity, at, value }) => ({ quantity, atMs: Date.parse(at), value })),
    gaps: curve.gaps?.map(({ from, to, cause }) => ({ fromMs: Date.parse(from), toMs: Date.parse(to), cause })) ?? null,
  };
}

export const hasValues = (column: Column): boolean => column.some((value) => value !== null);

/** First and last index that hold a value; null if none does. */
export function ends(column: Column): { readonly first: number; readonly last: number } | null {
  const first = column.findIndex((value) => value !== null);
  if (first < 0) return null;
  let last = column.length - 1;
  while (last > first && column[last] === null) last -= 1;
  return { first, last };
}

/** Gaps between values of a column, in seconds, longest first. */
export function gapsOf(timeS: readonly number[], column: Column): { readonly fromS: number; readonly toS: number }[] {
  const range = ends(column);
  if (range === null) return [];
  const gaps: { fromS: number; toS: number }[] = [];
  let lastS: number | null = null;
  let open = false;
  for (let index = range.first; index <= range.last; index += 1) {
    const at = timeS[index] ?? 0;
    if (column[index] === null) {
      open = true;
      continue;
    }
    if (open && lastS !== null) gaps.push({ fromS: lastS, toS: at });
    open = false;
    lastS = at;
  }
  return gaps.sort((a, b) => b.toS - b.fromS - (a.toS - a.fromS));
}

/** At most `most` rows evenly spread over those that hold anything, for the table. */
export function tableRows(columns: CurveColumns, most: number): number[] {
  const filled = columns.timeS
    .map((_, index) => index)
    .filter(
      (index) => columns.end[index] != null || columns.beer.mean[index] != null || columns.pressure.mean[index] != null,
    );
  if (filled.length <= most) return filled;
  return Array.from(
    { length: most },
    (_, index) => filled[Math.round((index * (filled.length - 1)) / (most - 1))] ?? 0,
  );
}
