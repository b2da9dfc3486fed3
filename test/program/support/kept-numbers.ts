import { join } from 'node:path';
import { InfluxReadingStore } from '../../../src/adapters/influx/influx-reading-store.ts';
import { SqliteReadingStore } from '../../../src/adapters/sqlite/sqlite-reading-store.ts';
import type { ReadingStore } from '../../../src/ports/reading-store.ts';
import { NUMBERED_PROBE, numberedValue } from './numbered-publisher.ts';

/** What became of numbered readings. */
export interface KeptNumbers {
  readonly kept: number;
  /** Acknowledged and not in the store. */
  readonly lost: readonly number[];
  /** In the store more than once. */
  readonly doubled: readonly number[];
  /** In the store with another value, or never sent. */
  readonly wrong: readonly number[];
}

export const sqliteStore = (folder: string): ReadingStore =>
  new SqliteReadingStore({ path: join(folder, 'readings.sqlite') });
export const influxStore = (port: number): ReadingStore => new InfluxReadingStore({ url: `http://127.0.0.1:${port}` });

export interface Numbered {
  readonly baseMs: number;
  readonly stepMs: number;
  readonly sent: number;
  readonly acknowledged: ReadonlySet<number>;
}

/** Looks every number up in a store and compares it with what was acknowledged. */
export async function lookUpNumbers(
  store: ReadingStore,
  { baseMs, stepMs, sent, acknowledged }: Numbered,
): Promise<KeptNumbers> {
  await store.open();
  const readings = await store.range(
    NUMBERED_PROBE,
    baseMs - 1_000_000,
    baseMs + sent * stepMs + 100_000_000,
    10_000_000,
  );
  await store.close();
  const times = new Map<number, number>();
  const wrong: number[] = [];
  for (const { measuredAtMs, value } of readings) {
    const n = (measuredAtMs - baseMs) / stepMs;
    times.set(n, (times.get(n) ?? 0) + 1);
    if (n < 0 || n >= sent || value !== numberedValue(n)) wrong.push(n);
  }
  return {
    kept: readings.length,
    lost: [...acknowledged].filter((n) => !times.has(n)),
    doubled: [...times].flatMap(([n, count]) => (count > 1 ? [n] : [])),
    wrong,
  };
}
