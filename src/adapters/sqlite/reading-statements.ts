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

export const MINUTE_MS = 60_000;
export const QUARTER_MS = 900_000;
export const HOUR_MS = 3_600_000;

/** Start of the span of a length that a time lies in. % keeps the sign, hence adding the length before 1970. */
const startOf = (time: string, length: string) => `${time} - (${time} % ${length} + ${length}) % ${length}`;

/** Numbers bind as REAL, and a remainder of those is not the one wanted. */
const BUCKET_START = startOf('time_ms', 'cast(:bucketMs as integer)');

const raggedEnd = (from: string, to: string) => `select ${BUCKET_START} as start_ms, value as low, value as high,
        value as total, 1 as number
        from main.reading where probe = :key and time_ms >= ${from} and time_ms < ${to}
      union all select ${startOf('start_ms', 'cast(:bucketMs as integer)')}, low, high, total, number
        from main.minute where probe = :key and start_ms >= ${from} and start_ms < ${to}`;

const ADD_SUMS = `on conflict do update set low = min(low, excluded.low), high = max(high, excluded.high),
      total = total + excluded.total, number = number + excluded.number`;

const SQL = {
  check: 'select count(*) from (select 1 from reading limit 1)',
  dataVersion: 'pragma main.data_version',
  emptyTail: 'delete from temp.tail',
  fillTail: `insert into temp.tail (${COLUMNS}) select ${COLUMNS} from main.incoming`,
  moveTail: `insert into main.reading (${COLUMNS})
    select ${COLUMNS} from temp.tail order by probe, time_ms, ordinal`,
  emptyIncoming: 'delete from main.incoming',
  findProbe: 'select key from probe where id = ?',
  retiredProbes: 'select key, retired_until_ms from main.probe where retired_until_ms is not null',
  insertProbe: 'insert into probe (id) values (?)',
  sameTime: `select value from main.reading where probe = ?1 and time_ms = ?2
    union all select value from temp.tail where probe = ?1 and time_ms = ?2`,
  insertIncoming: `insert into main.incoming (${COLUMNS}) values (?, ?, ?, ?, ?, ?)`,
  insertTail: `insert into temp.tail (${COLUMNS}) values (?, ?, ?, ?, ?, ?)`,
  latest: `select ${COLUMNS} from everything where probe = ? order by time_ms desc, ordinal desc limit ?`,
  range: `select ${COLUMNS} from everything where probe = ? and time_ms >= ? and time_ms < ?
    order by time_ms, ordinal limit ?`,
  // Of time that readings have left, their minutes; of all other the readings themselves.
  buckets: `select ${BUCKET_START} as start_ms,
      min(low) as low, sum(total) / sum(number) as mean, max(high) as high, sum(number) as number
    from (
      select start_ms as time_ms, low, high, total, number
        from main.minute where probe = :key and start_ms >= :fromMs and start_ms < :toMs
      union all select time_ms, value, value, value, 1
        from main.reading where probe = :key and time_ms >= :fromMs and time_ms < :toMs
      union all select time_ms, value, value, value, 1
        from temp.tail where probe = :key and time_ms >= :fromMs and time_ms < :toMs
    ) group by 1 order by 1`,
  // Whole quarters of an hour; they are put together by their reader, which is twice as fast as grouping here.
  quarters: `select start_ms, low, high, total, number from main.quarter
    where probe = ? and start_ms >= ? and start_ms < ? order by start_ms`,
  hours: `select start_ms, low, high, total, number from main.hour
    where probe = ? and start_ms >= ? and start_ms < ? order by start_ms`,
  hoursUntil: 'select hours_until_ms from main.probe where key = ?',
  newestQuarter: 'select start_ms from main.quarter where probe = ? order by start_ms desc limit 1',
  sumUpHours: `insert into main.hour (probe, start_ms, low, high, total, number)
    select probe, ${startOf('start_ms', String(HOUR_MS))}, min(low), max(high), sum(total), sum(number)
      from main.quarter where probe = :key and start_ms >= :fromMs and start_ms < :toMs group by 1, 2`,
  markHours: 'update main.probe set hours_until_ms = :toMs where key = :key',
  // Only what came late: hours that are not summed up yet will find it in their quarters.
  sumUpLateHours: `insert into main.hour (probe, start_ms, low, high, total, number)
    select probe, ${startOf('time_ms', String(HOUR_MS))}, min(value), max(value), sum(value), count(*)
      from temp.tail join main.probe on key = probe where time_ms < hours_until_ms group by 1, 2
    ${ADD_SUMS}`,
  // What whole quarters leave out: the ragged ends, and what has not moved yet.
  besideQuarters: `select start_ms, min(low), max(high), sum(total), sum(number)
    from (
      ${raggedEnd(':fromMs', ':firstQuarterMs')}
      union all ${raggedEnd(':endQuarterMs', ':toMs')}
      union all select ${BUCKET_START} as start_ms, value, value, value, 1
        from temp.tail where probe = :key and time_ms >= :fromMs and time_ms < :toMs
    ) group by 1`,
  sumUpTail: `insert into main.quarter (probe, start_ms, low, high, total, number)
    select probe, ${startOf('time_ms', String(QUARTER_MS))}, min(value), max(value), sum(value), count(*)
      from temp.tail where true group by 1, 2
    ${ADD_SUMS}`,
  minuteAt: 'select low, high from main.minute where probe = ? and start_ms = ?',
  tailHas: 'select 1 from temp.tail where probe = :key and time_ms >= :fromMs and time_ms < :toMs limit 1',
  sumUpMinutes: `insert into main.minute (probe, start_ms, low, high, total, number)
    select probe, ${startOf('time_ms', String(MINUTE_MS))}, min(value), max(value), sum(value), count(*)
      from main.reading where probe = :key and time_ms >= :fromMs and time_ms < :toMs group by 1, 2
    ${ADD_SUMS}`,
  removeRetired: 'delete from main.reading where probe = :key and time_ms >= :fromMs and time_ms < :toMs',
  markRetired: `update main.probe set retired_until_ms = max(coalesce(retired_until_ms, :toMs), :toMs) where key = :key`,
  countTail: `update main.probe set moved = moved + of_tail.number
    from (select probe, count(*) as number from temp.tail group by probe) as of_tail where of_tail.probe = key`,
  extents: `select id,
      (select min(ms) from (
        select * from (select time_ms as ms from everything where probe = key order by time_ms limit 1)
        union all select * from (select start_ms from main.minute where probe = key order by start_ms limit 1))
      ) as first_ms,
      (select max(ms) from (
        select * from (select time_ms as ms from everything where probe = key order by time_ms desc limit 1)
        union all select * from (select start_ms from main.minute where probe = key order by start_ms desc limit 1))
      ) as last_ms,
      moved + (select count(*) from temp.tail where probe = key) as number
    from main.probe where number > 0`,
} as const;

export function prepareReadingStatements(db: DatabaseSync): ReadingStatements {
  const prepared: Partial<Record<keyof typeof SQL, StatementSync>> = {};
  for (const name of Object.keys(SQL) as (keyof typeof SQL)[]) prepared[name] = db.prepare(SQL[name]);
  prepared.hours?.setReturnArrays(true);
  prepared.quarters?.setReturnArrays(true);
  prepared.besideQuarters?.setReturnArrays(true);
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
