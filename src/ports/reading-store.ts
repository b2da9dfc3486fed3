import type { Reading, ReadingBucket, StoredReading } from '../domain/reading.ts';

export interface RefusedReading {
  readonly reading: Reading;
  readonly reason: string;
}

/** What became of a batch: stored + duplicates + refused.length is its length. */
export interface AppendOutcome {
  readonly stored: number;
  /** Probe, time and value were there already (in the store or earlier in the batch). */
  readonly duplicates: number;
  /** Readings the store will never take; trying again cannot help. */
  readonly refused: readonly RefusedReading[];
}

export interface SeriesExtent {
  readonly probeId: string;
  readonly firstMs: number;
  readonly lastMs: number;
  readonly count: number;
}

/**
 * Keeps readings for years. Every method rejects when the store cannot be reached; trying the same call again later is
 * always safe, because `append` is idempotent by (probe, time, value).
 */
export interface ReadingStore {
  /** Makes ready: creates what is missing. Idempotent. */
  open(): Promise<void>;
  /**
   * Stores readings durably before it resolves. Same probe, time and value again is a duplicate; same probe and time
   * with another value is a further reading with the next ordinal. Where only the minute is kept, a value between its
   * extremes is a duplicate too: it cannot be told from those that were there.
   */
  append(readings: readonly Reading[]): Promise<AppendOutcome>;
  /** The newest `count` readings of a probe, oldest of them first. */
  latest(probeId: string, count: number): Promise<StoredReading[]>;
  /** Readings with fromMs <= measuredAtMs < toMs in order of time and ordinal, at most `limit`; retired ones are gone. */
  range(probeId: string, fromMs: number, toMs: number, limit: number): Promise<StoredReading[]>;
  /**
   * Non-empty spans [startMs, startMs + bucketMs) with startMs a multiple of bucketMs, over fromMs <= time < toMs. A minute
   * of which the readings were retired counts as a whole at its start.
   */
  buckets(probeId: string, fromMs: number, toMs: number, bucketMs: number): Promise<ReadingBucket[]>;
  /**
   * Gives up the readings of whole minutes, fromMs <= time < toMs, and keeps what each minute says of them: least, mean,
   * greatest and number. Resolves to how many went. The span should hold a few thousand at most.
   */
  retire(probeId: string, fromMs: number, toMs: number): Promise<number>;
  /** Every probe that has readings; retired ones count. */
  extents(): Promise<SeriesExtent[]>;
  /** Resolves if the store answers. */
  check(): Promise<void>;
  close(): Promise<void>;
}
