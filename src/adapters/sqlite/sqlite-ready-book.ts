import type { DatabaseSync } from 'node:sqlite';
import type { ReadyForecast } from '../../domain/ready-times.ts';
import type { ReadyBook } from '../../ports/ready-book.ts';

/** Forecasts of batches and what came of them, in the catalogue's file. */
export class SqliteReadyBook implements ReadyBook {
  readonly #database: DatabaseSync;

  constructor(database: DatabaseSync) {
    this.#database = database;
  }

  forecasts(batchId: string): ReadyForecast[] {
    const rows = this.#database.prepare('select * from ready_forecast where batch_id = ? order by at_ms').all(batchId);
    return rows.map((row) => ({
      atMs: Number(row.at_ms),
      hours: Number(row.hours),
      lowHours: Number(row.low_hours),
      highHours: Number(row.high_hours),
    }));
  }

  saveForecast(batchId: string, { atMs, hours, lowHours, highHours }: ReadyForecast): void {
    this.#database
      .prepare('insert or replace into ready_forecast values (?, ?, ?, ?, ?)')
      .run(batchId, atMs, hours, lowHours, highHours);
  }

  cameAtMs(batchId: string): number | null {
    const row = this.#database.prepare('select at_ms from ready_came where batch_id = ?').get(batchId);
    return row === undefined ? null : Number(row.at_ms);
  }

  saveCame(batchId: string, atMs: number): void {
    this.#database.prepare('insert or ignore into ready_came values (?, ?)').run(batchId, atMs);
  }
}
