/**
 * The embedded reading store: how fast it takes readings with all its sums, how much it writes for each, and how soon a
 * year is drawn. Held against SQLite itself doing the least that could do.
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { openCatalogueFile, SqliteCatalogue } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteReadingStore } from '../../src/adapters/sqlite/sqlite-reading-store.ts';
import { CurveQuery } from '../../src/app/curve.ts';
import { LiveProbes } from '../../src/app/live-probes.ts';
import { Register } from '../../src/app/register.ts';
import type { Reading } from '../../src/domain/reading.ts';
import { type Figure, quantile } from './figure.ts';

const MINUTE = 60_000;
const DAY = 24 * 60 * MINUTE;
const BEGAN = Date.UTC(2026, 0, 1);
const PROBES = 200;
const BATCH = 1000;
const BATCHES = 300;
/** Highest that is wanted: a memory card lives on what is not written. */
const BYTES_MAX = 400;
const POINTS = 1000;
const REPEATS = 31;

/** Five readings of each of 200 probes, as ten seconds apart as they would come. */
function batchOf(index: number): Reading[] {
  return Array.from({ length: BATCH }, (_, i) => {
    const measuredAtMs = BEGAN + (index * 5 + Math.floor(i / PROBES)) * 10_000 + (i % PROBES);
    const value = 4 + ((index * 31 + i * 17) % 500) / 100;
    return {
      probeId: `keg-${i % PROBES}.beer-temperature`,
      measuredAtMs,
      value,
      receivedAtMs: measuredAtMs + 40,
      timeFrom: 'receipt',
    };
  });
}

/** Bytes that this process has given to the system to write so far. @source proc(5), /proc/pid/io, wchar */
function bytesWritten(): number {
  return Number(/wchar: (\d+)/.exec(readFileSync('/proc/self/io', 'utf8'))?.[1]);
}

async function timed(work: () => Promise<void> | void): Promise<number> {
  const began = performance.now();
  await work();
  return performance.now() - began;
}

/** A bare table that only grows, by the same settings of durability. */
function bareInserts(path: string): { add(batch: readonly Reading[]): void; close(): void } {
  const db = new DatabaseSync(path);
  db.exec('pragma journal_mode = wal; pragma synchronous = full; pragma wal_autocheckpoint = 10000');
  db.exec('create table reading (probe integer, time_ms integer, value real, received_ms integer) strict');
  const insert = db.prepare('insert into reading values (?, ?, ?, ?)');
  return {
    add(batch) {
      db.exec('begin');
      for (const [i, { measuredAtMs, value, receivedAtMs }] of batch.entries())
        insert.run(i % PROBES, measuredAtMs, value, receivedAtMs);
      db.exec('commit');
    },
    close: () => db.close(),
  };
}

async function benchAppending(folder: string): Promise<Figure[]> {
  const batches = Array.from({ length: BATCHES }, (_, index) => batchOf(index));
  const bare = bareInserts(join(folder, 'bare.sqlite'));
  const store = new SqliteReadingStore({ path: join(folder, 'appended.sqlite') });
  await store.open();
  // In turns, so that both meet the same weather.
  let [bareMs, storeMs, bytes] = [0, 0, 0];
  for (const batch of batches) {
    bareMs += await timed(() => bare.add(batch));
    const before = bytesWritten();
    storeMs += await timed(async () => {
      await store.append(batch);
    });
    bytes += bytesWritten() - before;
  }
  bare.close();
  await store.close();
  const rows = BATCH * BATCHES;
  return [
    {
      what: `readings a second into SQLite with sums, ${PROBES} probes (wanted: 0.1)`,
      measured: (rows / storeMs) * 1000,
      limit: (rows / bareMs) * 1000,
      unit: '1/s',
      limitIs: 'bare inserts into a table that only grows',
    },
    {
      what: 'bytes written for a reading',
      measured: bytes / rows,
      limit: BYTES_MAX,
      unit: 'B',
      limitIs: 'at most',
    },
  ];
}

/** A year of a reading a minute of two probes. */
async function yearIn(path: string): Promise<SqliteReadingStore> {
  const store = new SqliteReadingStore({ path });
  await store.open();
  for (let minute = 0; minute < 365 * 1440; minute += BATCH) {
    const readings = (probeId: string, base: number) =>
      Array.from({ length: Math.min(BATCH, 365 * 1440 - minute) }, (_, i): Reading => {
        const measuredAtMs = BEGAN + (minute + i) * MINUTE;
        const value = base + ((minute + i) % 97) / 50;
        return { probeId, measuredAtMs, value, receivedAtMs: measuredAtMs, timeFrom: 'device' };
      });
    await store.append([...readings('one.beer-temperature', 4), ...readings('one.headspace-pressure', 80)]);
  }
  return store;
}

async function benchYear(folder: string): Promise<Figure[]> {
  const path = join(folder, 'year.sqlite');
  const store = await yearIn(path);
  const register = new Register(new SqliteCatalogue(openCatalogueFile(':memory:')), 0);
  const probes = LiveProbes.following(register);
  for (const { probeId, firstMs } of await store.extents()) {
    probes.restore(probeId, firstMs, await store.latest(probeId, 16), register.directory());
  }
  const history = async () => [];
  const query = new CurveQuery({
    register,
    probes,
    store,
    history,
    verdicts: { verdictsWithin: () => [] },
    marks: () => [],
  });
  const span = { fromMs: BEGAN, toMs: BEGAN + 365 * DAY };
  const db = new DatabaseSync(path, { readOnly: true });
  const width = (await query.curve({ kegId: 'one', ...span, points: POINTS })).bucketMs;
  const group = (from: string, time: string, sums: string) =>
    db.prepare(
      `select ${time} - ${time} % ${width}, ${sums} from ${from} where probe = ? and ${time} >= ${span.fromMs} and ${time} < ${span.toMs} group by 1`,
    );
  const bare = group('hour', 'start_ms', 'min(low), sum(total) / sum(number), max(high)');
  const raw = group('reading', 'time_ms', 'min(value), avg(value), max(value)');
  const took = { curve: [] as number[], bare: [] as number[], raw: [] as number[] };
  for (let repeat = 0; repeat < REPEATS; repeat += 1) {
    took.curve.push(await timed(async () => void (await query.curve({ kegId: 'one', ...span, points: POINTS }))));
    for (const [name, statement] of [
      ['bare', bare],
      ['raw', raw],
    ] as const) {
      took[name].push(await timed(() => [1, 2].forEach((probe) => void statement.all(probe))));
    }
  }
  db.close();
  await store.close();
  const what = `a year of minutes of two probes as a curve of ${POINTS} points`;
  const measured = quantile(took.curve, 0.5);
  return [
    {
      what: `${what} (wanted: 3)`,
      measured,
      limit: quantile(took.bare, 0.5),
      unit: 'ms',
      limitIs: 'the bare query of the sums',
    },
    {
      what: `${what} (wanted: 0.1)`,
      measured,
      limit: quantile(took.raw, 0.5),
      unit: 'ms',
      limitIs: 'the bare query of all readings',
    },
  ];
}

export async function benchReadings(): Promise<Figure[]> {
  const folder = mkdtempSync(join(tmpdir(), 'quietkeg-bench-'));
  try {
    return [...(await benchAppending(folder)), ...(await benchYear(folder))];
  } finally {
    rmSync(folder, { recursive: true });
  }
}
