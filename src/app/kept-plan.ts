import type * as contract from '../contract/index.ts';
import type { PlanStore } from '../ports/plan-store.ts';
import type { PlanEntry } from './plan-entries.ts';

/** A plan as it is kept: what was wished, what was last said, and what of it stands in calendars. */
export interface KeptPlan {
  readonly planId: string;
  readonly kegId: string;
  readonly batchId: string;
  readonly name: string;
  readonly fillAtMs: number;
  readonly bottles: string;
  readonly madeAtMs: number;
  readonly checkedAtMs: number;
  readonly cancelledAtMs: number | null;
  readonly changes: readonly { readonly atMs: number; readonly says: string }[];
  readonly plan: contract.FillPlan;
  /** The plan when something of it was last said to have changed: what creeps away from it is news at last. */
  readonly said: contract.FillPlan;
  readonly entries: readonly PlanEntry[];
}

/** Plans that are kept, by id. */
export function keptPlans(store: Pick<PlanStore, 'all'>): ReadonlyMap<string, KeptPlan> {
  // Written from values of this type alone.
  return new Map([...store.all()].map(([planId, body]) => [planId, body as KeptPlan]));
}
