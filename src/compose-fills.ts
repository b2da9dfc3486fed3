import type { DatabaseSync } from 'node:sqlite';
import { randomIds } from './adapters/clock/random-ids.ts';
import { SqliteFillBook } from './adapters/sqlite/sqlite-fill-book.ts';
import { AfterFills } from './app/after-fills.ts';
import type { CurveQuery } from './app/curve.ts';
import { Fills } from './app/fills.ts';
import type { Monitor } from './app/monitor.ts';
import type { Register } from './app/register.ts';
import type { Clock } from './ports/clock.ts';
import type { Log } from './ports/log.ts';

interface Filling {
  readonly database: DatabaseSync;
  readonly register: Register;
  readonly monitor: Monitor;
  readonly curve: CurveQuery;
  readonly clock: Clock;
  readonly log: Log;
}

/** What keeps fills and their bottles, and learns from them. */
export function filling({ database, register, monitor, curve, clock, log }: Filling) {
  const book = new SqliteFillBook(database);
  const fills = new Fills({ register, book, monitor, curve, clock, log, newId: randomIds });
  return { fills, afterFills: new AfterFills({ register, book, fills, monitor, clock }) };
}
