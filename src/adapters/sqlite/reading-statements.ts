import type { DatabaseSync, SQLOutputValue, StatementSync } from 'node:sqlite';
import type { StoredReading, TimeFrom } from '../../domain/reading.ts';

/** How `timeFrom` is kept; 0 and 1 cost no byte. */
export const TIME_FROM_CODE: Readonly<Record<TimeFrom, number>> = {
  device: 0,
  receipt: 1,
  'receipt-device-refused': 2,
};
const TIME_FROM: readonly TimeFrom[] = ['device', 'receipt', 'receipt-device-refused'];

export type ReadingStatements = Readonly<Record<keyof typeof SQL, StatementSync>>;

const COLUMNS = 'probe, time_ms, ordinal, value, received_after_ms, time_from';

const SQL = {
  check: 'select count(*) from (select 1 from reading limit 1)',
  dataVersion: 'pragma main.data_version',
  emptyTail: 'delete from temp.tail',
  fillTail: `insert into temp.tail (${COLUMNS}) select ${COLUMNS} from main.incoming`,
  moveTail: `insert into main.reading (${COLUMNS})
    select ${COLUMNS} from temp.tail order by probe, time_ms, ordinal`,
  emptyIncoming: 'delete from main.incoming',
  findProbe: 'select key from probe where id = ?',
  insertProbe: 'insert into probe (id) values (?)',
  sameTime: `select value from main.reading where probe = ?1 and time_ms = ?2
    union all select value from temp.tail where probe = ?1 and time_ms = ?2`,
  insertIncoming: `insert into main.incoming (${COLUMNS}) values (?, ?, ?, ?, ?, ?)`,
  insertTail: `insert into temp.tail (${COLUMNS}) values (?, ?, ?, ?, ?, ?)`,
  latest: `select ${COLUMNS} from everything where probe = ? order by time_ms desc, ordinal desc limit ?`,
  range: `select ${COLUMNS} from everything where probe = ? and time_ms >= ? and time_ms < ?
    order by time_ms, ordinal limit ?`,
  // Numbers bind as REAL, hence the cast; and % keeps the sign, hence adding the bucket's length before 1970.
  buckets: `select time_ms - ((time_ms % cast(:bucketMs as integer)) + cast(:bucketMs as integer))
        % cast(:bucketMs as integer) as start_ms,
      min(value) as low, avg(value) as mean, max(value) as high, count(*) as number
    from everything where probe = :key and time_ms >= :fromMs and time_ms < :toMs
    group by start_ms order by start_ms`,
  extents: `select id, min(time_ms) as first_ms, max(time_ms) as last_ms, count(*) as number
    from everything join probe on probe.key = everything.probe group by probe.key`,
} as const;

export function prepareReadingStatements(db: DatabaseSync): ReadingStatements {
  const prepared: Partial<Record<keyof typeof SQL, StatementSync>> = {};
  for (const name of Object.keys(SQL) as (keyof typeof SQL)[]) prepared[name] = db.prepare(SQL[name]);
  return prepared as ReadingStatements;
}

export function storedReading(probeId: string, row: Record<string, SQLOutputValue>): StoredReading {
  const measuredAtMs = Number(row.time_ms);
  return {
    probeId,
    measuredAtMs,
    value: Number(row.value),
    receivedAtMs: measuredAtMs + Number(row.received_after_ms),
    timeFrom: TIME_FROM[Number(row.time_from)] ?? 'receipt-device-refused',
    ordinal: Number(row.ordinal),
  };
}
