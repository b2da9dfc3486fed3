import type { DatabaseSync } from 'node:sqlite';
import { randomIds } from './adapters/clock/random-ids.ts';
import { SqliteFillBook } from './adapters/sqlite/sqlite-fill-book.ts';
import { SqlitePlanStore } from './adapters/sqlite/sqlite-plan-store.ts';
import { SqliteReadyBook } from './adapters/sqlite/sqlite-ready-book.ts';
import { AfterFills } from './app/after-fills.ts';
import { CleanFills } from './app/clean-fills.ts';
import type { CurveQuery } from './app/curve.ts';
import type { Feed } from './app/feed.ts';
import { FillImport, type FillImportOptions } from './app/fill-import.ts';
import type { FillShelf } from './app/fill-lines.ts';
import { Fills } from './app/fills.ts';
import type { KegEstimates } from './app/keg-estimates.ts';
import type { Monitor } from './app/monitor.ts';
import { ReadyTimes } from './app/ready-times.ts';
import type { Register } from './app/register.ts';
import type { Clock } from './ports/clock.ts';
import type { VerdictJournal } from './ports/journal.ts';
import type { Log } from './ports/log.ts';

interface Filling {
  readonly database: DatabaseSync;
  readonly register: Register;
  readonly monitor: Monitor;
  readonly estimates: KegEstimates;
  readonly feed: Feed;
  readonly verdicts: VerdictJournal;
  readonly curve: CurveQuery;
  readonly clock: Clock;
  readonly log: Log;
}

/** What keeps fills and their bottles, and learns from them. */
export function filling({ database, register, feed, verdicts, monitor, estimates, curve, clock, log }: Filling) {
  const book = new SqliteFillBook(database);
  const fills = new Fills({ register, book, monitor, estimates, curve, clock, log, newId: randomIds });
  const readyTimes = new ReadyTimes({ book: new SqliteReadyBook(database), feed, register, verdicts, clock, log });
  const cleanFills = new CleanFills({ register, book, fills });
  return { readyTimes, cleanFills, fills, afterFills: new AfterFills({ register, book, fills, monitor, clock }) };
}

/** Where fills and plans are kept, for an export. */
export function fillShelf(database: DatabaseSync): FillShelf {
  return { book: new SqliteFillBook(database), plans: new SqlitePlanStore(database) };
}

type Importing = Omit<FillImportOptions, 'book' | 'keepPlan'> & {
  readonly database: DatabaseSync;
  /** Of the service that keeps plans in memory; without it they go into the file alone. */
  readonly keepPlan?: FillImportOptions['keepPlan'];
};

export function fillImport({ database, ...options }: Importing): FillImport {
  const plans = new SqlitePlanStore(database);
  const keepPlan: FillImportOptions['keepPlan'] = (plan) => {
    if (plans.all().has(plan.planId)) return false;
    plans.put(plan.planId, plan);
    return true;
  };
  return new FillImport({ keepPlan, ...options, book: new SqliteFillBook(database) });
}
