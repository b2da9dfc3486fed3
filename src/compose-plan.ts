import type { DatabaseSync } from 'node:sqlite';
import { randomIds } from './adapters/clock/random-ids.ts';
import { SqlitePlanStore } from './adapters/sqlite/sqlite-plan-store.ts';
import { FillPlans } from './app/fill-plans.ts';
import type { KegEstimates } from './app/keg-estimates.ts';
import type { LiveProbes } from './app/live-probes.ts';
import type { Register } from './app/register.ts';
import type { Clock } from './ports/clock.ts';
import type { Log } from './ports/log.ts';

interface Planning {
  readonly database: DatabaseSync;
  readonly register: Register;
  readonly estimates: KegEstimates;
  readonly probes: LiveProbes;
  readonly clock: Clock;
  readonly log: Log;
}

/** Fill plans, kept beside the catalogue. */
export function planning({ database, ...known }: Planning): FillPlans {
  return new FillPlans({ ...known, store: new SqlitePlanStore(database), newId: randomIds });
}
