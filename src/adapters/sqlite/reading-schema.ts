import type { DatabaseSync } from 'node:sqlite';
import { inTransaction } from './transaction.ts';

/**
 * Forward-only steps of the file's layout; step n brings user_version n to n + 1. Never change one that was released:
 * add the next.
 *
 * `reading` is ordered by probe and time, so that a range is read from neighbouring pages. Writing to it directly would
 * rewrite a page per probe and batch (some 5 kB a reading), which wears out memory cards; so readings land in
 * `incoming`, an append-only table, and move over in large sorted portions.
 * `quarter` sums up in quarters of an hour what has moved, so that the curve of a year does not read a year; `probe.moved`
 * counts it. `hour` sums up `quarter` before `probe.hours_until_ms`: it follows when somebody asks, because keeping up with
 * every portion would write another page for each probe. Readings that are old enough leave `reading`: `minute` keeps what
 * each minute said, in sums that late readings add to. Nothing leaves `quarter` and `hour`. Before `probe.retired_until_ms`
 * there may be minutes.
 * `received_after_ms` is receipt minus measurement: mostly small, so it takes a byte or two instead of six.
 */
const MIGRATIONS: readonly string[] = [
  `create table probe (
     key integer primary key,
     id text not null unique,
     moved integer not null default 0
   ) strict;
   create table reading (
     probe integer not null,
     time_ms integer not null,
     ordinal integer not null,
     value real not null,
     received_after_ms integer not null,
     time_from integer not null,
     primary key (probe, time_ms, ordinal)
   ) strict, without rowid;
   create table incoming (
     probe integer not null,
     time_ms integer not null,
     ordinal integer not null,
     value real not null,
     received_after_ms integer not null,
     time_from integer not null
   ) strict;
   create table hour (
     probe integer not null,
     start_ms integer not null,
     low real not null,
     high real not null,
     total real not null,
     number integer not null,
     primary key (probe, start_ms)
   ) strict, without rowid;`,
  `create table quarter (
     probe integer not null,
     start_ms integer not null,
     low real not null,
     high real not null,
     total real not null,
     number integer not null,
     primary key (probe, start_ms)
   ) strict, without rowid;
   create table minute (
     probe integer not null,
     start_ms integer not null,
     low real not null,
     high real not null,
     total real not null,
     number integer not null,
     primary key (probe, start_ms)
   ) strict, without rowid;
   alter table probe add column retired_until_ms integer;
   insert into quarter
     select probe, time_ms - (time_ms % 900000 + 900000) % 900000, min(value), max(value), sum(value), count(*)
     from reading group by 1, 2;
   drop table hour;`,
  `create table hour (
     probe integer not null,
     start_ms integer not null,
     low real not null,
     high real not null,
     total real not null,
     number integer not null,
     primary key (probe, start_ms)
   ) strict, without rowid;
   alter table probe add column hours_until_ms integer;`,
];

/** How many steps this version knows. */
export const READING_STEPS = MIGRATIONS.length;

/** Marks a file as ours ("qkRd"), so that another program's database is not taken for a reading store. */
const APPLICATION_ID = 0x716b5264;

/**
 * `tail` holds what `incoming` holds, ordered and in memory only: it finds duplicates and answers queries without an
 * index on the append-only table. It follows each transaction, because SQLite rolls temporary tables back too.
 */
const CONNECTION_TABLES = `
  pragma temp_store = memory;
  create temp table tail (
    probe integer not null,
    time_ms integer not null,
    ordinal integer not null,
    value real not null,
    received_after_ms integer not null,
    time_from integer not null,
    primary key (probe, time_ms, ordinal)
  ) strict, without rowid;
  create temp view everything as
    select probe, time_ms, ordinal, value, received_after_ms, time_from from main.reading
    union all
    select probe, time_ms, ordinal, value, received_after_ms, time_from from temp.tail;`;

/**
 * Sets a connection up and brings the file to this program's layout.
 * @throws Error if the file belongs to a newer version or to another program.
 */
export function prepareReadingFile(db: DatabaseSync, path: string): void {
  db.exec('pragma busy_timeout = 10000');
  refuseForeignFile(db, path);
  db.exec('pragma journal_mode = wal; pragma synchronous = full; pragma wal_autocheckpoint = 10000');
  migrateReadings(db);
  db.exec(CONNECTION_TABLES);
}

/** Brings the layout up to date, or for a test to an earlier step. */
export function migrateReadings(db: DatabaseSync, until = MIGRATIONS.length): void {
  inTransaction(db, () => {
    // Read again inside the transaction: another process may have migrated in the meantime.
    for (const step of MIGRATIONS.slice(numberOf(db, 'user_version'), until)) db.exec(step);
    db.exec(`pragma application_id = ${APPLICATION_ID}; pragma user_version = ${until}`);
  });
}

function refuseForeignFile(db: DatabaseSync, path: string): void {
  const version = numberOf(db, 'user_version');
  const applicationId = numberOf(db, 'application_id');
  if (version > MIGRATIONS.length) {
    throw new Error(
      `The readings in ${path} were written by a newer version of Quietkeg (layout ${version}; this one knows up to ` +
        `${MIGRATIONS.length}). Install that version again, or restore a backup made before it.`,
    );
  }
  const isNew = version === 0 && applicationId === 0 && numberOf(db, 'schema_version') === 0;
  if (!isNew && applicationId !== APPLICATION_ID) {
    throw new Error(`${path} is a database of another program. Move it away or choose another data folder.`);
  }
}

/** A pragma that answers with one number. */
export function numberOf(db: DatabaseSync, pragma: 'user_version' | 'application_id' | 'schema_version'): number {
  return Number(db.prepare(`pragma ${pragma}`).get()?.[pragma]);
}
