import { mkdirSync, rmSync } from 'node:fs';
import { dirname } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { deserialize, serialize } from 'node:v8';
import type { KegLearning } from '../../domain/estimate/learning.ts';
import type { EstimatePoint } from '../../domain/estimate-point.ts';
import type { BaseShelf, EstimateStore, KeptBase } from '../../ports/estimate-store.ts';
import { inTransaction } from './transaction.ts';

/**
 * Raised whenever the tables, or what the estimate puts aside, are no longer those of before. All of it can be computed
 * again from readings and entries, so an older file is not brought up to date but begun anew.
 */
const LAYOUT = 3;

const TABLES = `
  create table estimate (
    batch_id text not null, at_ms integer not null,
    volumes real not null, low real not null, high real not null, equilibrium real, leak text not null,
    primary key (batch_id, at_ms)
  ) strict, without rowid;
  create table base (
    batch_id text primary key, at_ms integer not null, basis text not null, body blob not null
  ) strict;
  create table learnt (batch_id text primary key, learning text not null) strict;
  pragma user_version = ${LAYOUT};`;

const MEMORY = ':memory:';

/** Estimates and bases in a file of their own: it may be deleted, and then fills again. */
export class SqliteEstimateStore implements EstimateStore, BaseShelf {
  readonly #database: DatabaseSync;
  #open = true;

  /** @throws Error if the file cannot be made. */
  constructor(path: string) {
    if (path !== MEMORY) mkdirSync(dirname(path), { recursive: true });
    this.#database = openFile(path);
  }

  async open(): Promise<void> {}

  async save(points: readonly (EstimatePoint & { readonly batchId: string })[]): Promise<void> {
    const insert = this.#database.prepare('insert or replace into estimate values (?, ?, ?, ?, ?, ?, ?)');
    inTransaction(this.#database, () => {
      for (const { batchId, atMs, volumes, low, high, equilibriumVolumes, leak } of points)
        insert.run(batchId, atMs, volumes, low, high, equilibriumVolumes, leak);
    });
  }

  async range(batchId: string, fromMs: number, toMs: number): Promise<EstimatePoint[]> {
    return this.#database
      .prepare('select * from estimate where batch_id = ? and at_ms >= ? and at_ms < ? order by at_ms')
      .all(batchId, fromMs, toMs)
      .map((row) => ({
        atMs: Number(row.at_ms),
        volumes: Number(row.volumes),
        low: Number(row.low),
        high: Number(row.high),
        equilibriumVolumes: row.equilibrium === null ? null : Number(row.equilibrium),
        leak: row.leak === 'likely' || row.leak === 'suspected' ? row.leak : 'none',
      }));
  }

  learnt(): Map<string, KegLearning> {
    const rows = this.#database.prepare('select batch_id, learning from learnt').all();
    return new Map(rows.map((row) => [String(row.batch_id), JSON.parse(String(row.learning))]));
  }

  saveLearnt(batchId: string, learning: KegLearning | null): void {
    this.#database.prepare('delete from learnt where batch_id = ?').run(batchId);
    if (learning === null) return;
    this.#database.prepare('insert into learnt values (?, ?)').run(batchId, JSON.stringify(learning));
  }

  times(): Map<string, number> {
    const rows = this.#database.prepare('select batch_id, at_ms from base').all();
    return new Map(rows.map((row) => [String(row.batch_id), Number(row.at_ms)]));
  }

  base(batchId: string): KeptBase | null {
    const row = this.#database.prepare('select at_ms, basis, body from base where batch_id = ?').get(batchId);
    if (row === undefined || !(row.body instanceof Uint8Array)) return null;
    try {
      return { atMs: Number(row.at_ms), basis: String(row.basis), body: deserialize(row.body) };
    } catch {
      // Written by another version of Node, or damaged: it is computed again.
      return null;
    }
  }

  saveBase(batchId: string, { atMs, basis, body }: KeptBase): void {
    this.#database
      .prepare('insert or replace into base values (?, ?, ?, ?)')
      .run(batchId, atMs, basis, serialize(body));
  }

  removeBase(batchId: string): void {
    this.#database.prepare('delete from base where batch_id = ?').run(batchId);
  }

  async close(): Promise<void> {
    if (this.#open) this.#database.close();
    this.#open = false;
  }
}

function openFile(path: string): DatabaseSync {
  const found = openKnown(path);
  if (found !== null) return found;
  for (const end of ['', '-wal', '-shm']) rmSync(`${path}${end}`, { force: true });
  const fresh = new DatabaseSync(path);
  prepare(fresh);
  fresh.exec(TABLES);
  return fresh;
}

/** Null if what is there is not ours, or of another layout. */
function openKnown(path: string): DatabaseSync | null {
  const database = new DatabaseSync(path);
  try {
    prepare(database);
    const version = Number(database.prepare('pragma user_version').get()?.user_version);
    if (version === LAYOUT) return database;
    if (version === 0 && database.prepare('select count(*) as number from sqlite_schema').get()?.number === 0) {
      database.exec(TABLES);
      return database;
    }
  } catch {
    // Damaged, or no database.
  }
  database.close();
  return null;
}

function prepare(database: DatabaseSync): void {
  // NORMAL: a power cut may take the last points, which are computed again anyway.
  database.exec('pragma journal_mode = wal; pragma synchronous = normal; pragma busy_timeout = 5000');
}
