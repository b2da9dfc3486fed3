import type { DatabaseSync } from 'node:sqlite';

/**
 * Forward-only steps; the file's `user_version` counts those that were made. Never change one that was released: add
 * another. A file with more steps than we know was written by a newer version and is refused.
 */
const STEPS: readonly string[] = [
  `create table site (
     only integer primary key check (only = 1),
     altitude_m real not null, altitude_is_set integer not null, time_zone text not null,
     line text, units text not null
   ) strict;
   create table place (place_id text primary key, name text not null) strict;
   create table supply (
     supply_id text primary key, name text not null, co2_ratio real, cylinder_kg real
   ) strict;
   create table keg (
     keg_id text primary key, name text not null, capacity_l real not null, diameter_metres real,
     working_kpa_gauge_max real,
     place_id text not null references place, supply_id text not null references supply
   ) strict;
   create table batch (
     batch_id text primary key, keg_id text not null, brew_id text, name text not null, style text,
     abv_percent real, original_extract_plato real, began_at_ms integer not null, ended_at_ms integer
   ) strict;
   create index batch_of_keg on batch (keg_id, began_at_ms);
   create unique index one_open_batch on batch (keg_id) where ended_at_ms is null;
   create table probe (
     probe_id text primary key, topic text not null, pointer text, unit text, quantity text not null,
     subject text not null, reference text, place text, time_unit text, calibration text not null
   ) strict;
   create table event (
     event_id text primary key, subject_kind text not null, subject_id text not null,
     at_ms integer not null, entered_at_ms integer not null, body text not null
   ) strict;
   create index event_of_subject on event (subject_kind, subject_id, at_ms);
   create table dismissed_keg (keg_id text primary key) strict;
   create table episode (
     id text primary key, rule text not null, keg_id text, target text not null, level text not null,
     state text not null, began_at_ms integer not null, ended_at_ms integer, body text not null
   ) strict;
   create unique index one_open_episode on episode (rule, target) where ended_at_ms is null;
   create index episode_by_begin on episode (began_at_ms);
   create table verdict (keg_id text primary key, kind text not null, since_ms integer not null) strict;
   create table heard_topic (
     topic text primary key, sample text not null, last_heard_at_ms integer not null, messages integer not null
   ) strict;
   create table rejected_message (
     number integer primary key, topic text not null, at_ms integer not null, reason text not null, sample text not null
   ) strict;
   create table counter (name text primary key, value integer not null) strict;`,
  `alter table batch add column limits text not null default '{}'`,
  `create table verdict_change (
     keg_id text not null, at_ms integer not null, kind text not null, headline text not null,
     primary key (keg_id, at_ms)
   ) strict, without rowid`,
  `create table gap_mark (
     number integer primary key, cause text not null, from_ms integer not null, to_ms integer not null
   ) strict;
   create index gap_mark_by_end on gap_mark (to_ms);`,
  'alter table keg add column learns_from_ms integer',
  // Channels, people, and what is on its way to them. Bodies are JSON: they are read whole, and only by the service itself.
  `create table delivery (
     shelf text not null, id text not null, body text not null, unique (shelf, id)
   ) strict`,
  `alter table episode add column untold integer not null default 0;
   create index episode_untold on episode (untold) where untold = 1;
   create index episode_of_target on episode (rule, target, began_at_ms);
   create table rule_setting (rule text primary key, body text not null) strict;`,
  `create table keg_view (
     keg_id text not null, at_ms integer not null, body text not null, primary key (keg_id, at_ms)
   ) strict, without rowid`,
  'alter table probe add column availability text',
  // Fill plans as JSON, and in a row of its own the key of their calendar.
  'create table fill_plan (plan_id text primary key, body text not null) strict',
  // Fills and their bottles. A bottle that was taken back stays as a row, so that a late repetition does not bring it again.
  `create table fill (
     fill_id text primary key, keg_id text not null, started_at_ms integer not null, body text not null
   ) strict;
   create table fill_bottle (
     fill_id text not null references fill (fill_id), bottle_id text not null, number integer not null,
     removed integer not null default 0, body text not null, primary key (fill_id, bottle_id)
   ) strict, without rowid;`,
  // When a batch was expected to be carbonated, and when it was.
  `create table ready_forecast (
     batch_id text not null, at_ms integer not null, hours real not null, low_hours real not null, high_hours real not null,
     primary key (batch_id, at_ms)
   ) strict, without rowid;
   create table ready_came (batch_id text primary key, at_ms integer not null) strict;`,
  // Who may come in. Of what proves it only hashes and digests are kept.
  `create table passphrase (role text primary key, hash text not null) strict;
   create table session (
     session_id text primary key, token_digest text not null unique, role text not null, kind text not null,
     name text not null, created_at_ms integer not null, seen_at_ms integer not null
   ) strict;
   create table invitation (
     token_digest text primary key, name text not null, created_at_ms integer not null
   ) strict;
   create table mqtt_user (
     name text primary key, hash text not null, publish text not null, subscribe text not null
   ) strict`,
];

/** How many steps this version knows. */
export const CATALOGUE_STEPS = STEPS.length;

/** Brings the file up to date, or for a test to an earlier step. Throws if a newer version wrote it. */
export function migrate(database: DatabaseSync, until = STEPS.length): void {
  const row = database.prepare('pragma user_version').get();
  const made = Number(row?.user_version ?? 0);
  if (made > STEPS.length) {
    throw new Error(
      `the catalogue was written by a newer version (schema ${made}, this one knows ${STEPS.length}); update the program`,
    );
  }
  for (const [index, step] of STEPS.slice(0, until).entries()) {
    if (index < made) continue;
    database.exec(`begin immediate; ${step}; pragma user_version = ${index + 1}; commit`);
  }
}
