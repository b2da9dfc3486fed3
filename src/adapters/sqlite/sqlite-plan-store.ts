import type { DatabaseSync, StatementSync } from 'node:sqlite';
import type { PlanStore } from '../../ports/plan-store.ts';

/** The row that holds no plan but the calendar's key. */
const KEY_ROW = '/calendar-key';

/** Fill plans in the catalogue's file: one row each, read once at the start and written through. */
export class SqlitePlanStore implements PlanStore {
  readonly #database: DatabaseSync;
  readonly #put: StatementSync;

  constructor(database: DatabaseSync) {
    this.#database = database;
    this.#put = database.prepare(
      'insert into fill_plan values (?, ?) on conflict (plan_id) do update set body = excluded.body',
    );
  }

  all(): ReadonlyMap<string, unknown> {
    const rows = this.#database
      .prepare('select plan_id, body from fill_plan where plan_id <> ? order by rowid')
      .all(KEY_ROW);
    return new Map(rows.map((row) => [String(row.plan_id), JSON.parse(String(row.body))]));
  }

  put(planId: string, body: unknown): void {
    this.#put.run(planId, JSON.stringify(body));
  }

  remove(planId: string): void {
    this.#database.prepare('delete from fill_plan where plan_id = ?').run(planId);
  }

  calendarKey(): string | null {
    const row = this.#database.prepare('select body from fill_plan where plan_id = ?').get(KEY_ROW);
    return row === undefined ? null : String(JSON.parse(String(row.body)));
  }

  saveCalendarKey(key: string): void {
    this.put(KEY_ROW, key);
  }
}
