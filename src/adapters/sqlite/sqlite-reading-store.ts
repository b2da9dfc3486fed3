import { mkdirSync } from 'node:fs';
import { dirname } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import type { Reading, ReadingBucket, StoredReading } from '../../domain/reading.ts';
import {
  assertBucketMs,
  assertWholeMinutes,
  bucketStartMs,
  clampToStorable,
  STORABLE_MS_MIN,
  storedValue,
  whyNotStorable,
} from '../../domain/storable-reading.ts';
import type { AppendOutcome, ReadingStore, RefusedReading, SeriesExtent } from '../../ports/reading-store.ts';
import { BucketSums, type SumsRow } from './bucket-sums.ts';
import { prepareReadingFile } from './reading-schema.ts';
import {
  HOUR_MS,
  MINUTE_MS,
  prepareReadingStatements,
  QUARTER_MS,
  type ReadingStatements,
  storedReading,
  TIME_FROM_CODE,
} from './reading-statements.ts';

/**
 * Moving is one sorted write; at this size a few hundred probes bring enough rows each to fill their pages, and it
 * still takes a fraction of a second.
 */
const INCOMING_ROWS_MAX = 10_000;

/** Hours may lag behind quarters by this much (ms): a few hundred rows more to read. */
const HOURS_LAG_MS = 48 * HOUR_MS;

/** What an open store works with. */
interface OpenFile {
  readonly db: DatabaseSync;
  readonly statements: ReadingStatements;
  /** Key of each probe that is known to be in the file. */
  readonly keys: Map<string, number>;
  /** By key: before this time there may be minutes instead of readings (ms). */
  readonly retiredUntil: Map<number, number>;
  /** Changes when another connection has written; then `tail` no longer mirrors `incoming`. */
  dataVersion: number;
  incomingRows: number;
  /** The portion in which rows move to the sorted table. */
  readonly incomingRowsMax: number;
}

/**
 * Readings in one SQLite file, durable when `append` resolves. Several processes may have the file open (an import or an
 * export beside the running service). `reading-schema.ts` explains the layout.
 */
export class SqliteReadingStore implements ReadingStore {
  readonly #path: string;
  readonly #incomingRowsMax: number;
  #file: OpenFile | null = null;

  /** @param options.incomingRowsMax readings that gather before they move to the sorted table; 10,000 if not given */
  constructor(options: { readonly path: string; readonly incomingRowsMax?: number }) {
    this.#path = options.path;
    this.#incomingRowsMax = options.incomingRowsMax ?? INCOMING_ROWS_MAX;
  }

  /** @throws Error if the file cannot be made, was written by a newer version, or belongs to another program. */
  async open(): Promise<void> {
    if (this.#file) return;
    mkdirSync(dirname(this.#path), { recursive: true });
    const db = new DatabaseSync(this.#path);
    try {
      prepareReadingFile(db, this.#path);
      const statements = prepareReadingStatements(db);
      const incomingRowsMax = this.#incomingRowsMax;
      const [keys, retiredUntil] = [new Map(), new Map()];
      this.#file = { db, statements, keys, retiredUntil, dataVersion: Number.NaN, incomingRows: 0, incomingRowsMax };
      inTransaction(this.#file, 'immediate', () => undefined);
    } catch (error) {
      this.#file = null;
      db.close();
      throw error;
    }
  }

  async append(readings: readonly Reading[]): Promise<AppendOutcome> {
    const file = this.#opened();
    const newKeys = new Map<string, number>();
    const outcome = inTransaction(file, 'immediate', () => appendAll(file, newKeys, readings));
    // Only now: a rolled-back transaction takes its keys with it.
    for (const [id, key] of newKeys) file.keys.set(id, key);
    file.incomingRows = outcome.incomingRows;
    return { stored: outcome.stored, duplicates: outcome.duplicates, refused: outcome.refused };
  }

  async latest(probeId: string, count: number): Promise<StoredReading[]> {
    return this.#read(probeId, [], ({ statements }, key) => {
      const rows = statements.latest.all(key, Math.max(0, Math.trunc(count)));
      return rows.reverse().map((row) => storedReading(probeId, row));
    });
  }

  async range(probeId: string, fromMs: number, toMs: number, limit: number): Promise<StoredReading[]> {
    return this.#read(probeId, [], ({ statements }, key) => {
      const rows = statements.range.all(key, fromMs, toMs, Math.max(0, Math.trunc(limit)));
      return rows.map((row) => storedReading(probeId, row));
    });
  }

  async buckets(probeId: string, fromMs: number, toMs: number, bucketMs: number): Promise<ReadingBucket[]> {
    assertBucketMs(bucketMs);
    if (bucketMs % HOUR_MS === 0) this.#sumUpHours(probeId, toMs);
    return this.#read(probeId, [], (file, key) => {
      const asked = { key, fromMs, toMs, bucketMs };
      return bucketMs % QUARTER_MS === 0 ? bucketsOfQuarters(file, asked) : bucketsOf(file, asked);
    });
  }

  /** Lets hours follow up to `toMs`, if they lag so far that it matters. */
  #sumUpHours(probeId: string, toMs: number): void {
    const file = this.#opened();
    const lag = this.#read(probeId, null, (_, key) => hoursLag(file, key, toMs));
    if (lag === null || lag.toMs - lag.fromMs < HOURS_LAG_MS) return;
    inTransaction(file, 'immediate', () => {
      // Again, because another process may have done it in the meantime.
      const key = keyOf(file, probeId);
      const now = key === undefined ? null : hoursLag(file, key, toMs);
      if (key === undefined || now === null) return;
      file.statements.sumUpHours.run({ key, ...now });
      file.statements.markHours.run({ key, toMs: now.toMs });
    });
  }

  async retire(probeId: string, fromMs: number, toMs: number): Promise<number> {
    assertWholeMinutes(fromMs, toMs);
    const file = this.#opened();
    let moved = false;
    const retired = inTransaction(file, 'immediate', () => {
      const key = keyOf(file, probeId);
      if (key === undefined) return 0;
      const { tailHas, sumUpMinutes, removeRetired, markRetired } = file.statements;
      moved = tailHas.get({ key, fromMs, toMs }) !== undefined;
      if (moved) moveTail(file);
      sumUpMinutes.run({ key, fromMs, toMs });
      const count = Number(removeRetired.run({ key, fromMs, toMs }).changes);
      if (count === 0) return 0;
      markRetired.run({ key, toMs });
      file.retiredUntil.set(key, Math.max(file.retiredUntil.get(key) ?? toMs, toMs));
      return count;
    });
    if (moved) file.incomingRows = 0;
    return retired;
  }

  async extents(): Promise<SeriesExtent[]> {
    const file = this.#opened();
    return inTransaction(file, 'deferred', () =>
      file.statements.extents.all().map((row) => ({
        probeId: String(row.id),
        firstMs: Number(row.first_ms),
        lastMs: Number(row.last_ms),
        count: Number(row.number),
      })),
    );
  }

  async check(): Promise<void> {
    this.#opened().statements.check.get();
  }

  async close(): Promise<void> {
    this.#file?.db.close();
    this.#file = null;
  }

  #read<T>(probeId: string, ifUnknown: T, read: (file: OpenFile, key: number) => T): T {
    const file = this.#opened();
    return inTransaction(file, 'deferred', () => {
      const key = keyOf(file, probeId);
      return key === undefined ? ifUnknown : read(file, key);
    });
  }

  #opened(): OpenFile {
    if (!this.#file) throw new Error(`The reading store ${this.#path} is not open; call open() first.`);
    return this.#file;
  }
}

/** Runs `work` on one consistent state of the file, with `tail` up to date; an error undoes everything. */
function inTransaction<T>(file: OpenFile, kind: 'immediate' | 'deferred', work: () => T): T {
  const { db, statements } = file;
  db.exec(`begin ${kind}`);
  try {
    const dataVersion = Number(statements.dataVersion.get()?.data_version);
    if (dataVersion !== file.dataVersion) {
      statements.emptyTail.run();
      file.incomingRows = Number(statements.fillTail.run().changes);
      for (const row of statements.retiredProbes.all())
        file.retiredUntil.set(Number(row.key), Number(row.retired_until_ms));
      file.dataVersion = dataVersion;
    }
    const result = work();
    db.exec('commit');
    return result;
  } catch (error) {
    // The reload above may be among what is undone, so the next transaction does it again.
    file.dataVersion = Number.NaN;
    // SQLite has already rolled back by itself after some errors, a full disk for one.
    if (db.isTransaction) db.exec('rollback');
    throw error;
  }
}

interface BucketQuestion {
  readonly key: number;
  readonly fromMs: number;
  readonly toMs: number;
  readonly bucketMs: number;
}

function bucketsOf({ statements }: OpenFile, asked: BucketQuestion): ReadingBucket[] {
  return statements.buckets.all({ ...asked }).map((row) => ({
    startMs: Number(row.start_ms),
    min: Number(row.low),
    mean: Number(row.mean),
    max: Number(row.high),
    count: Number(row.number),
  }));
}

/** What of quarters is not in hours yet, up to a time; null if there is nothing. The newest hour still fills. */
function hoursLag({ statements }: OpenFile, key: number, toMs: number): { fromMs: number; toMs: number } | null {
  const newest = statements.newestQuarter.get(key);
  if (newest === undefined) return null;
  const untilMs = bucketStartMs(Math.min(clampToStorable(toMs), Number(newest.start_ms)), HOUR_MS);
  const done = statements.hoursUntil.get(key)?.hours_until_ms ?? null;
  const fromMs = done === null ? STORABLE_MS_MIN : Number(done);
  return fromMs < untilMs ? { fromMs, toMs: untilMs } : null;
}

/** Buckets of whole quarters of an hour: from hours where they can be, then quarters, and the ragged ends from what is finer. */
function bucketsOfQuarters({ statements }: OpenFile, { key, bucketMs, ...span }: BucketQuestion): ReadingBucket[] {
  const [fromMs, toMs] = [clampToStorable(span.fromMs), clampToStorable(span.toMs)];
  const firstQuarterMs = Math.min(Math.ceil(fromMs / QUARTER_MS) * QUARTER_MS, toMs);
  const endQuarterMs = Math.max(Math.floor(toMs / QUARTER_MS) * QUARTER_MS, firstQuarterMs);
  const hoursUntil = bucketMs % HOUR_MS === 0 ? statements.hoursUntil.get(key)?.hours_until_ms : null;
  const firstHourMs = Math.min(Math.ceil(firstQuarterMs / HOUR_MS) * HOUR_MS, endQuarterMs);
  const hoursEndMs = Math.min(bucketStartMs(endQuarterMs, HOUR_MS), Number(hoursUntil ?? firstHourMs));
  const endHourMs = Math.max(hoursEndMs, firstHourMs);
  const beside = { key, bucketMs, fromMs, toMs, firstQuarterMs, endQuarterMs };
  const sums = new BucketSums(bucketMs);
  for (const rows of [
    statements.quarters.all(key, firstQuarterMs, firstHourMs),
    statements.hours.all(key, firstHourMs, endHourMs),
    statements.quarters.all(key, endHourMs, endQuarterMs),
    statements.besideQuarters.all(beside),
  ]) {
    // Rows are arrays, which the types of statements do not know.
    for (const row of rows as unknown as readonly SumsRow[]) sums.add(row);
  }
  return sums.buckets();
}

/** Was a reading with this value among those of which only the minute is kept? If it does not stand out, we cannot tell. */
function isInMinute({ statements, retiredUntil }: OpenFile, key: number, measuredAtMs: number, value: number): boolean {
  if (measuredAtMs >= (retiredUntil.get(key) ?? Number.NEGATIVE_INFINITY)) return false;
  const minute = statements.minuteAt.get(key, bucketStartMs(measuredAtMs, MINUTE_MS));
  return minute !== undefined && value >= Number(minute.low) && value <= Number(minute.high);
}

function appendAll(file: OpenFile, newKeys: Map<string, number>, readings: readonly Reading[]) {
  const { statements } = file;
  const refused: RefusedReading[] = [];
  let duplicates = 0;
  let stored = 0;
  for (const reading of readings) {
    const reason = whyNotStorable(reading);
    if (reason !== null) {
      refused.push({ reading, reason });
      continue;
    }
    const { measuredAtMs, receivedAtMs, timeFrom } = reading;
    const key = keyForAppend(file, newKeys, reading.probeId);
    const value = storedValue(reading.value);
    const sameTime = statements.sameTime.all(key, measuredAtMs);
    if (sameTime.some((row) => row.value === value) || isInMinute(file, key, measuredAtMs, value)) {
      duplicates += 1;
      continue;
    }
    const row = [key, measuredAtMs, sameTime.length + 1, value, receivedAtMs - measuredAtMs, TIME_FROM_CODE[timeFrom]];
    statements.insertIncoming.run(...row);
    statements.insertTail.run(...row);
    stored += 1;
  }
  let incomingRows = file.incomingRows + stored;
  if (incomingRows >= file.incomingRowsMax) {
    moveTail(file);
    incomingRows = 0;
  }
  return { stored, duplicates, refused, incomingRows };
}

/** Moves what has gathered to the sorted table, and sums it up. */
function moveTail({ statements }: OpenFile): void {
  statements.sumUpTail.run();
  statements.sumUpLateHours.run();
  statements.countTail.run();
  statements.moveTail.run();
  statements.emptyTail.run();
  statements.emptyIncoming.run();
}

function keyOf(file: OpenFile, probeId: string): number | undefined {
  const known = file.keys.get(probeId);
  if (known !== undefined) return known;
  const row = file.statements.findProbe.get(probeId);
  return row && Number(row.key);
}

/** The probe's key, made if need be; a key that `file` does not know yet goes to `newKeys`. */
function keyForAppend(file: OpenFile, newKeys: Map<string, number>, probeId: string): number {
  const known = file.keys.get(probeId) ?? newKeys.get(probeId);
  if (known !== undefined) return known;
  const key = keyOf(file, probeId) ?? Number(file.statements.insertProbe.run(probeId).lastInsertRowid);
  newKeys.set(probeId, key);
  return key;
}
