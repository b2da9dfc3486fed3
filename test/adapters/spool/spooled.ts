import type { FileSpool } from '../../../src/adapters/spool/file-spool.ts';
import type { SpoolPosition, SpoolRecord } from '../../../src/ports/spool.ts';

/** The n-th record of a test: short, and unlike every other. */
export function nth(n: number, change: Partial<SpoolRecord> = {}): SpoolRecord {
  return {
    receivedAtMs: 1_780_000_000_000 + n,
    topic: `probes/keg-${n}/beer-temperature`,
    payload: Uint8Array.from(Buffer.from(String(n))),
    policy: 'live',
    retained: false,
    ...change,
  };
}

export const numberOf = ({ receivedAtMs }: SpoolRecord): number => receivedAtMs - 1_780_000_000_000;

/** Appends a record and resolves when it is done; rejects with its error. */
export function appendOne(spool: FileSpool, record: SpoolRecord): Promise<void> {
  return new Promise((resolve, reject) => {
    spool.append(record, (error) => (error === null ? resolve() : reject(error)));
  });
}

/** Appends records at once. */
export async function appendAll(spool: FileSpool, records: readonly SpoolRecord[]): Promise<void> {
  await Promise.all(records.map((record) => appendOne(spool, record)));
}

/** Everything from a position on, read in portions. */
export async function readAll(spool: FileSpool, from: SpoolPosition, portion = 1000): Promise<SpoolRecord[]> {
  const records: SpoolRecord[] = [];
  for (let at = from; ; ) {
    const group = await spool.read(at, portion);
    records.push(...group.records);
    if (group.records.length < portion) return records;
    at = group.end;
  }
}
