import type { Reading, ReadingBucket } from '../../domain/reading.ts';
import { bucketStartMs } from '../../domain/storable-reading.ts';
import {
  DIRTY_MEASUREMENT,
  type InfluxConnection,
  type InfluxSeries,
  MEASUREMENT,
  MINUTE_MEASUREMENT,
  QUARTER_MEASUREMENT,
} from './influx-connection.ts';
import { probeIdOfTag, probeTag, timeMsOf } from './reading-points.ts';
import {
  bucketOf,
  nanoseconds,
  type Span,
  SpanQuery,
  type Sums,
  sumsIn,
  sumsPoint,
  timeText,
  together,
} from './reading-sums.ts';

const MINUTE_MS = 60_000;
export const QUARTER_MS = 900_000;
/** Quarters that are summed up at a time: a month of them. */
const SUM_UP_MS = 31 * 24 * 3600_000;
const POINTS_PER_REQUEST = 5000;

/**
 * Sums beside the readings. Quarters of an hour are summed up when a curve first asks for them, and from then on as time
 * goes by; a late reading first marks its quarter as wrong, on the server, so that no crash can hide it. Minutes stand in
 * for readings that were retired. Its callers see to it that nothing is appended meanwhile.
 */
export class ReadingTiers {
  readonly #connection: InfluxConnection;
  /** By probe: up to where quarters are summed up (ms). */
  readonly #summedUntil = new Map<string, number>();
  /** By probe: quarters that are to be summed up again. */
  readonly #dirty = new Map<string, Set<number>>();
  /** By probe: before this time there may be minutes instead of readings (ms). */
  readonly #retiredUntil = new Map<string, number>();

  constructor(connection: InfluxConnection) {
    this.#connection = connection;
  }

  /** Reads where things stand. */
  async load(): Promise<void> {
    const [quarters = [], minutes = [], dirty = []] = await this.#connection.query(
      `SELECT last(number) FROM ${QUARTER_MEASUREMENT} GROUP BY probe; ` +
        `SELECT last(number) FROM ${MINUTE_MEASUREMENT} GROUP BY probe; SELECT late FROM ${DIRTY_MEASUREMENT} GROUP BY probe`,
      {},
    );
    for (const [probeId, [startMs = 0]] of timesByProbe(quarters)) this.#summedUntil.set(probeId, startMs + QUARTER_MS);
    for (const [probeId, [startMs = 0]] of timesByProbe(minutes)) this.#retiredUntil.set(probeId, startMs + MINUTE_MS);
    for (const [probeId, starts] of timesByProbe(dirty)) this.#dirty.set(probeId, new Set(starts));
  }

  /** To be called before readings are written: quarters that they make wrong are marked as such. */
  async markLate(readings: readonly Reading[]): Promise<void> {
    const marks = new Map<string, { readonly probeId: string; readonly startMs: number }>();
    for (const { probeId, measuredAtMs } of readings) {
      if (measuredAtMs >= (this.#summedUntil.get(probeId) ?? Number.NEGATIVE_INFINITY)) continue;
      const startMs = bucketStartMs(measuredAtMs, QUARTER_MS);
      if (this.#dirty.get(probeId)?.has(startMs) !== true) marks.set(`${startMs} ${probeId}`, { probeId, startMs });
    }
    if (marks.size === 0) return;
    await this.#connection.write(
      [...marks.values()].map(({ probeId, startMs }) => ({
        measurement: DIRTY_MEASUREMENT,
        tags: { probe: probeTag(probeId) },
        fields: { late: 1 },
        timestamp: nanoseconds(startMs),
      })),
    );
    for (const { probeId, startMs } of marks.values()) {
      const starts = this.#dirty.get(probeId) ?? new Set();
      this.#dirty.set(probeId, starts.add(startMs));
    }
  }

  /** Those of the readings that cannot be told from others of which only the minute is kept. */
  async inMinutes(readings: readonly Reading[]): Promise<ReadonlySet<Reading>> {
    const found = new Set<Reading>();
    const old = readings.filter(({ probeId, measuredAtMs }) => {
      return measuredAtMs < (this.#retiredUntil.get(probeId) ?? Number.NEGATIVE_INFINITY);
    });
    for (const [probeId, own] of Map.groupBy(old, (reading) => reading.probeId)) {
      const days = Map.groupBy(own, ({ measuredAtMs }) => bucketStartMs(measuredAtMs, 24 * 3600_000));
      for (const [fromMs, ofDay] of days) {
        const minutes = new Map(
          (await this.#minutes({ probeId, fromMs, toMs: fromMs + 24 * 3600_000 })).map((one) => [one.startMs, one]),
        );
        for (const reading of ofDay) {
          const minute = minutes.get(bucketStartMs(reading.measuredAtMs, MINUTE_MS));
          if (minute !== undefined && reading.value >= minute.low && reading.value <= minute.high) found.add(reading);
        }
      }
    }
    return found;
  }

  /** Is anything to be summed up before buckets of quarters up to `toMs` can be told? */
  isSummedUp(probeId: string, toMs: number, newestMs: number): boolean {
    const wantedMs = bucketStartMs(Math.min(toMs, newestMs), QUARTER_MS);
    return (
      (this.#dirty.get(probeId)?.size ?? 0) === 0 &&
      (this.#summedUntil.get(probeId) ?? Number.NEGATIVE_INFINITY) >= wantedMs
    );
  }

  /** Sums up what has not been yet, before the quarter of `untilMs`, and again what late readings have made wrong. */
  async sumUp(probeId: string, oldestMs: number, untilMs: number): Promise<void> {
    const endMs = bucketStartMs(untilMs, QUARTER_MS);
    const beganMs = this.#summedUntil.get(probeId) ?? bucketStartMs(oldestMs, QUARTER_MS);
    for (let fromMs = beganMs; fromMs < endMs; ) {
      const toMs = Math.min(fromMs + SUM_UP_MS, endMs);
      await this.#writeQuarters({ probeId, fromMs, toMs });
      this.#summedUntil.set(probeId, toMs);
      fromMs = toMs;
    }
    for (const startMs of [...(this.#dirty.get(probeId) ?? [])]) {
      await this.#writeQuarters({ probeId, fromMs: startMs, toMs: startMs + QUARTER_MS });
      await this.#connection.query(`DELETE FROM ${DIRTY_MEASUREMENT} WHERE probe = $probe AND time = $time`, {
        probe: probeTag(probeId),
        time: timeText(startMs),
      });
      this.#dirty.get(probeId)?.delete(startMs);
    }
  }

  /** Buckets from the finest that there is, or, where they are made of whole quarters, from those. */
  async buckets({ probeId, fromMs, toMs }: Span, bucketMs: number): Promise<ReadingBucket[]> {
    const isOfQuarters = bucketMs % QUARTER_MS === 0;
    const summedMs = isOfQuarters ? (this.#summedUntil.get(probeId) ?? fromMs) : fromMs;
    const firstMs = Math.min(Math.ceil(fromMs / QUARTER_MS) * QUARTER_MS, toMs);
    const endMs = Math.max(Math.min(Math.floor(toMs / QUARTER_MS) * QUARTER_MS, summedMs), firstMs);
    const ends: readonly Span[] = isOfQuarters
      ? [
          { probeId, fromMs, toMs: firstMs },
          { probeId, fromMs: endMs, toMs },
        ]
      : [{ probeId, fromMs, toMs }];
    const query = new SpanQuery();
    if (isOfQuarters) query.ofSums(QUARTER_MEASUREMENT, { probeId, fromMs: firstMs, toMs: endMs }, bucketMs);
    for (const end of ends) query.ofReadings(end, bucketMs).ofSums(MINUTE_MEASUREMENT, end, bucketMs);
    const answers = await this.#connection.query(query.text, query.parameters);
    return together(answers.flatMap(sumsIn)).map(bucketOf);
  }

  /** Gives up readings of whole minutes; resolves to how many. Their quarters must be summed up before. */
  async retire(span: Span): Promise<number> {
    const query = new SpanQuery().ofReadings(span, MINUTE_MS);
    const [series = []] = await this.#connection.query(query.text, query.parameters);
    const fresh = sumsIn(series);
    if (fresh.length === 0) return 0;
    const known = new Map((await this.#minutes(span)).map((minute) => [minute.startMs, minute]));
    const merged = fresh.map((minute) => {
      const before = known.get(minute.startMs);
      if (before === undefined) return minute;
      // A late reading is kept only if it stands out of its minute. One that does not was summed up before a crash
      // kept it from being removed.
      const isSummed = minute.low >= before.low && minute.high <= before.high && minute.number <= before.number;
      return isSummed ? before : (together([before, minute])[0] ?? minute);
    });
    await this.#write(MINUTE_MEASUREMENT, span.probeId, merged);
    this.#retiredUntil.set(span.probeId, Math.max(this.#retiredUntil.get(span.probeId) ?? span.toMs, span.toMs));
    await this.#connection.query(`DELETE FROM ${MEASUREMENT} WHERE probe = $probe AND time >= $from AND time < $to`, {
      probe: probeTag(span.probeId),
      from: timeText(span.fromMs),
      to: timeText(span.toMs),
    });
    return fresh.reduce((sum, { number }) => sum + number, 0);
  }

  async #minutes(span: Span): Promise<Sums[]> {
    const query = new SpanQuery().ofSums(MINUTE_MEASUREMENT, span, MINUTE_MS);
    const [series = []] = await this.#connection.query(query.text, query.parameters);
    return sumsIn(series);
  }

  async #writeQuarters(span: Span): Promise<void> {
    const query = new SpanQuery().ofReadings(span, QUARTER_MS).ofSums(MINUTE_MEASUREMENT, span, QUARTER_MS);
    const answers = await this.#connection.query(query.text, query.parameters);
    await this.#write(QUARTER_MEASUREMENT, span.probeId, together(answers.flatMap(sumsIn)));
  }

  async #write(
    measurement: typeof MINUTE_MEASUREMENT | typeof QUARTER_MEASUREMENT,
    probeId: string,
    sums: readonly Sums[],
  ): Promise<void> {
    for (let from = 0; from < sums.length; from += POINTS_PER_REQUEST) {
      const portion = sums.slice(from, from + POINTS_PER_REQUEST);
      await this.#connection.write(portion.map((one) => sumsPoint(measurement, probeId, one)));
    }
  }
}

function timesByProbe(series: readonly InfluxSeries[]): Map<string, number[]> {
  return new Map(
    series.map(({ tags, values }) => [probeIdOfTag(tags?.probe ?? ''), values.map(([time]) => timeMsOf(time))]),
  );
}
