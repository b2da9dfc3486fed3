import { DatabaseSync, type SQLInputValue, type StatementSync } from 'node:sqlite';
import type { Batch, Keg, Place, Site, Supply } from '../../domain/catalogue.ts';
import { FIRST_PLACE, FIRST_SUPPLY } from '../../domain/catalogue.ts';
import type { KegEvent } from '../../domain/event.ts';
import type { Probe } from '../../domain/probe.ts';
import { subjectPath } from '../../domain/topic.ts';
import type { Catalogue } from '../../ports/catalogue.ts';
import {
  batchFromRow,
  eventFromRow,
  kegFromRow,
  placeFromRow,
  probeFromRow,
  type Row,
  siteFromRow,
  supplyFromRow,
} from './catalogue-rows.ts';
import { migrate } from './catalogue-schema.ts';
import { inTransaction } from './transaction.ts';

/** Opens the file that holds the catalogue and the journals, and brings its schema up to date. */
export function openCatalogueFile(path: string): DatabaseSync {
  const database = new DatabaseSync(path);
  // FULL: an entry that was answered survives a power cut. Entries are rare, so it costs nothing that matters.
  database.exec(
    'pragma journal_mode = wal; pragma synchronous = full; pragma foreign_keys = on; pragma busy_timeout = 5000',
  );
  migrate(database);
  return database;
}

/** What people entered, in SQLite. */
export class SqliteCatalogue implements Catalogue {
  readonly #database: DatabaseSync;
  readonly #statements = new Map<string, StatementSync>();

  constructor(database: DatabaseSync) {
    this.#database = database;
    this.#seed();
  }

  /** One place and one gas supply exist from the start. */
  #seed(): void {
    const units = { temperature: 'Cel', pressure: 'bar', carbonation: 'volumes', volume: 'L' };
    this.together(() => {
      this.#run(
        `insert or ignore into site values (1, 0, 0, ?, null, ?)`,
        Intl.DateTimeFormat().resolvedOptions().timeZone,
        JSON.stringify(units),
      );
      if (this.#all('select 1 from place limit 1').length === 0) {
        this.savePlace(FIRST_PLACE);
      }
      if (this.#all('select 1 from supply limit 1').length === 0) {
        this.saveSupply(FIRST_SUPPLY);
      }
    });
  }

  site(): Site {
    const row = this.#all('select * from site')[0];
    if (row === undefined) throw new Error('the catalogue holds no site');
    return siteFromRow(row);
  }

  saveSite(site: Site): void {
    this.#run(
      'update site set altitude_m = ?, altitude_is_set = ?, time_zone = ?, line = ?, units = ?',
      site.altitudeM,
      site.altitudeIsSet ? 1 : 0,
      site.timeZone,
      site.line === null ? null : JSON.stringify(site.line),
      JSON.stringify(site.units),
    );
  }

  places(): Place[] {
    return this.#all('select * from place order by rowid').map(placeFromRow);
  }

  savePlace({ placeId, name }: Place): void {
    this.#run(
      'insert into place values (?, ?) on conflict (place_id) do update set name = excluded.name',
      placeId,
      name,
    );
  }

  removePlace(placeId: string): void {
    this.#run('delete from place where place_id = ?', placeId);
  }

  supplies(): Supply[] {
    return this.#all('select * from supply order by rowid').map(supplyFromRow);
  }

  saveSupply({ supplyId, name, co2Ratio, cylinderKg }: Supply): void {
    this.#run(
      `insert into supply values (?, ?, ?, ?) on conflict (supply_id) do update
       set name = excluded.name, co2_ratio = excluded.co2_ratio, cylinder_kg = excluded.cylinder_kg`,
      supplyId,
      name,
      co2Ratio,
      cylinderKg,
    );
  }

  removeSupply(supplyId: string): void {
    this.#run('delete from supply where supply_id = ?', supplyId);
  }

  kegs(): Keg[] {
    return this.#all('select * from keg order by rowid').map(kegFromRow);
  }

  saveKeg(keg: Keg): void {
    this.#run(
      `insert into keg values (?, ?, ?, ?, ?, ?, ?, ?) on conflict (keg_id) do update
       set name = excluded.name, capacity_l = excluded.capacity_l, diameter_metres = excluded.diameter_metres,
         working_kpa_gauge_max = excluded.working_kpa_gauge_max, place_id = excluded.place_id,
         supply_id = excluded.supply_id, learns_from_ms = excluded.learns_from_ms`,
      keg.kegId,
      keg.name,
      keg.capacityL,
      keg.diameterMetres,
      keg.workingKpaGaugeMax,
      keg.placeId,
      keg.supplyId,
      keg.learnsFromMs,
    );
  }

  removeKeg(kegId: string): void {
    this.#run('delete from keg where keg_id = ?', kegId);
  }

  batches(): Batch[] {
    return this.#all('select * from batch order by began_at_ms, rowid').map(batchFromRow);
  }

  saveBatch(batch: Batch): void {
    this.#run(
      `insert into batch values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) on conflict (batch_id) do update
       set brew_id = excluded.brew_id, name = excluded.name, style = excluded.style,
         abv_percent = excluded.abv_percent, original_extract_plato = excluded.original_extract_plato,
         began_at_ms = excluded.began_at_ms, ended_at_ms = excluded.ended_at_ms, limits = excluded.limits`,
      batch.batchId,
      batch.kegId,
      batch.brewId,
      batch.name,
      batch.style,
      batch.abvPercent,
      batch.originalExtractPlato,
      batch.beganAtMs,
      batch.endedAtMs,
      JSON.stringify(batch.limits),
    );
  }

  removeBatch(batchId: string): void {
    this.#run('delete from batch where batch_id = ?', batchId);
  }

  probes(): Probe[] {
    return this.#all('select * from probe order by rowid').map(probeFromRow);
  }

  saveProbe(probe: Probe): void {
    this.#run(
      `insert into probe values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) on conflict (probe_id) do update
       set topic = excluded.topic, pointer = excluded.pointer, unit = excluded.unit, quantity = excluded.quantity,
         subject = excluded.subject, reference = excluded.reference, place = excluded.place,
         time_unit = excluded.time_unit, calibration = excluded.calibration,
         availability = excluded.availability`,
      probe.probeId,
      probe.topic,
      probe.pointer,
      probe.unit,
      probe.quantity,
      subjectPath(probe.subject),
      probe.reference,
      probe.place,
      probe.timeUnit,
      JSON.stringify(probe.calibration),
      probe.availability === null ? null : JSON.stringify(probe.availability),
    );
  }

  removeProbe(probeId: string): void {
    this.#run('delete from probe where probe_id = ?', probeId);
  }

  events(): KegEvent[] {
    return this.#all('select * from event order by at_ms, entered_at_ms, rowid').map(eventFromRow);
  }

  saveEvent({ eventId, subject, atMs, enteredAtMs, body }: KegEvent): void {
    this.#run(
      `insert into event values (?, ?, ?, ?, ?, ?) on conflict (event_id) do update
       set subject_kind = excluded.subject_kind, subject_id = excluded.subject_id, at_ms = excluded.at_ms,
         entered_at_ms = excluded.entered_at_ms, body = excluded.body`,
      eventId,
      subject.kind,
      subject.id,
      atMs,
      enteredAtMs,
      JSON.stringify(body),
    );
  }

  removeEvent(eventId: string): void {
    this.#run('delete from event where event_id = ?', eventId);
  }

  dismissedKegs(): string[] {
    return this.#all('select keg_id from dismissed_keg').map((row) => String(row.keg_id));
  }

  saveDismissedKeg(kegId: string, dismissed: boolean): void {
    this.#run(
      dismissed ? 'insert or ignore into dismissed_keg values (?)' : 'delete from dismissed_keg where keg_id = ?',
      kegId,
    );
  }

  together<T>(write: () => T): T {
    return inTransaction(this.#database, write);
  }

  #prepare(sql: string): StatementSync {
    const known = this.#statements.get(sql);
    if (known !== undefined) return known;
    const statement = this.#database.prepare(sql);
    this.#statements.set(sql, statement);
    return statement;
  }

  #all(sql: string): Row[] {
    return this.#prepare(sql).all();
  }

  #run(sql: string, ...values: SQLInputValue[]): void {
    this.#prepare(sql).run(...values);
  }
}
