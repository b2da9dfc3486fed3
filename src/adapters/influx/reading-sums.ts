import type { IPoint } from 'influx';
import type { ReadingBucket } from '../../domain/reading.ts';
import { clampToStorable } from '../../domain/storable-reading.ts';
import {
  type InfluxSeries,
  MEASUREMENT,
  type MINUTE_MEASUREMENT,
  type QUARTER_MEASUREMENT,
} from './influx-connection.ts';
import { probeTag, timeMsOf } from './reading-points.ts';

/** What a span of time says of its readings, so that spans can be put together. */
export interface Sums {
  readonly startMs: number;
  readonly low: number;
  readonly high: number;
  readonly total: number;
  readonly number: number;
}

export interface Span {
  readonly probeId: string;
  readonly fromMs: number;
  readonly toMs: number;
}

/** A time as a query has it: whole milliseconds, and nothing is stored outside of what we can store. */
export const timeText = (ms: number): string => new Date(Math.ceil(clampToStorable(ms))).toISOString();

/**
 * Statements about one span, whose parameters are told apart by a number. Where `spanMs` stands in them it was checked to
 * be a whole number: a duration cannot be a parameter.
 */
export class SpanQuery {
  readonly parameters: Record<string, string> = {};
  readonly #statements: string[] = [];

  get text(): string {
    return this.#statements.join('; ');
  }

  /** Sums of raw readings over spans of `spanMs`. */
  ofReadings(span: Span, spanMs: number): this {
    return this.#add('min(value), max(value), sum(value), count(value)', MEASUREMENT, span, spanMs);
  }

  /** Sums of sums over spans of `spanMs`. */
  ofSums(measurement: typeof MINUTE_MEASUREMENT | typeof QUARTER_MEASUREMENT, span: Span, spanMs: number): this {
    return this.#add('min(low), max(high), sum(total), sum(number)', measurement, span, spanMs);
  }

  #add(what: string, measurement: string, { probeId, fromMs, toMs }: Span, spanMs: number): this {
    const i = this.#statements.length;
    // An empty span is asked for all the same, so that answers keep their places.
    const untilMs = Math.max(fromMs, toMs);
    Object.assign(this.parameters, {
      [`probe${i}`]: probeTag(probeId),
      [`from${i}`]: timeText(fromMs),
      [`to${i}`]: timeText(untilMs),
    });
    this.#statements.push(
      `SELECT ${what} FROM ${measurement} WHERE probe = $probe${i} AND time >= $from${i} AND time < $to${i} ` +
        `GROUP BY time(${spanMs}ms) fill(none)`,
    );
    return this;
  }
}

/** Rows of any of the statements above. */
export function sumsIn(series: readonly InfluxSeries[]): Sums[] {
  return series.flatMap(({ values }) =>
    values.map(([time, low, high, total, number]) => ({
      startMs: timeMsOf(time),
      low: Number(low),
      high: Number(high),
      total: Number(total),
      number: Number(number),
    })),
  );
}

/** Puts sums of equal starts together, in order of time. */
export function together(parts: readonly Sums[]): Sums[] {
  const byStart = new Map<number, Sums>();
  for (const part of parts) {
    const known = byStart.get(part.startMs);
    byStart.set(part.startMs, known === undefined ? part : added(known, part));
  }
  return [...byStart.values()].toSorted((a, b) => a.startMs - b.startMs);
}

function added(a: Sums, b: Sums): Sums {
  return {
    startMs: a.startMs,
    low: Math.min(a.low, b.low),
    high: Math.max(a.high, b.high),
    total: a.total + b.total,
    number: a.number + b.number,
  };
}

export function bucketOf({ startMs, low, high, total, number }: Sums): ReadingBucket {
  return { startMs, min: low, mean: total / number, max: high, count: number };
}

export function sumsPoint(
  measurement: typeof MINUTE_MEASUREMENT | typeof QUARTER_MEASUREMENT,
  probeId: string,
  { startMs, low, high, total, number }: Sums,
): IPoint {
  const fields = { low, high, total, number };
  return { measurement, tags: { probe: probeTag(probeId) }, fields, timestamp: nanoseconds(startMs) };
}

export const nanoseconds = (ms: number): string => String(BigInt(ms) * 1_000_000n);
