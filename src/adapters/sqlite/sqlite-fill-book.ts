import type { DatabaseSync } from 'node:sqlite';
import type { Fill, FilledBottle, FillRecord } from '../../domain/fill/fill.ts';
import type { FillBook } from '../../ports/fill-book.ts';
import type { Row } from './catalogue-rows.ts';

/** JSON that this adapter wrote itself, from values of the type it is read as. */
const body = <T>(row: Row): T => JSON.parse(String(row.body));

/** Fills and their bottles, in the catalogue's file. */
export class SqliteFillBook implements FillBook {
  readonly #database: DatabaseSync;

  constructor(database: DatabaseSync) {
    this.#database = database;
  }

  records(): FillRecord[] {
    const rows = this.#database.prepare('select * from fill order by started_at_ms desc, rowid desc').all();
    const bottles = this.#database.prepare('select * from fill_bottle where removed = 0 order by number').all();
    const byFill = Map.groupBy(bottles, (row) => String(row.fill_id));
    return rows.map((row) => ({
      fill: body<Fill>(row),
      bottles: (byFill.get(String(row.fill_id)) ?? []).map(body<FilledBottle>),
    }));
  }

  record(fillId: string): FillRecord | null {
    const row = this.#database.prepare('select * from fill where fill_id = ?').get(fillId);
    if (row === undefined) return null;
    const bottles = this.#database
      .prepare('select * from fill_bottle where fill_id = ? and removed = 0 order by number')
      .all(fillId);
    return { fill: body<Fill>(row), bottles: bottles.map(body<FilledBottle>) };
  }

  saveFill(fill: Fill): void {
    this.#database
      .prepare(
        `insert into fill values (?, ?, ?, ?) on conflict (fill_id) do update
         set started_at_ms = excluded.started_at_ms, body = excluded.body`,
      )
      .run(fill.fillId, fill.kegId, fill.startedAtMs, JSON.stringify(fill));
  }

  saveBottle(fillId: string, bottle: FilledBottle): void {
    this.#database
      .prepare(
        `insert into fill_bottle values (?, ?, ?, 0, ?) on conflict (fill_id, bottle_id) do update
         set body = excluded.body`,
      )
      .run(fillId, bottle.bottleId, bottle.number, JSON.stringify(bottle));
  }

  removeBottle(fillId: string, bottleId: string): void {
    this.#database
      .prepare('update fill_bottle set removed = 1 where fill_id = ? and bottle_id = ?')
      .run(fillId, bottleId);
  }

  removed(fillId: string): FilledBottle[] {
    return this.#database
      .prepare('select * from fill_bottle where fill_id = ? and removed = 1 order by number, bottle_id')
      .all(fillId)
      .map(body<FilledBottle>);
  }

  wasRemoved(fillId: string, bottleId: string): boolean {
    const row = this.#database
      .prepare('select 1 from fill_bottle where fill_id = ? and bottle_id = ? and removed = 1')
      .get(fillId, bottleId);
    return row !== undefined;
  }

  nextNumber(fillId: string): number {
    const row = this.#database
      .prepare('select coalesce(max(number), 0) as highest from fill_bottle where fill_id = ? and removed = 0')
      .get(fillId);
    return Number(row?.highest ?? 0) + 1;
  }
}
