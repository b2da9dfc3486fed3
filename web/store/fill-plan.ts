import { type Signal, signal } from '@preact/signals';
import type { FillPlan, KeptPlan, PlanCalendar, PlanRequest, Plans } from '../../src/contract/plan.ts';
import { type Answer, ask, type Trouble } from './api.ts';

/** What the page of a fill plan reads and changes. */
export interface FillPlanning {
  /** The last look; null: none yet. */
  readonly plan: Signal<FillPlan | null>;
  readonly trouble: Signal<Trouble | null>;
  readonly waiting: Signal<boolean>;
  readonly kept: Signal<Plans | null>;
  look(fillAt: string, bottles: string): Promise<void>;
  keep(request: PlanRequest): Promise<Trouble | null>;
  cancel(planId: string): Promise<Trouble | null>;
  renewCalendar(): Promise<Trouble | null>;
  loadKept(): Promise<void>;
}

export function fillPlanning(kegId: string): FillPlanning {
  const plan = signal<FillPlan | null>(null);
  const trouble = signal<Trouble | null>(null);
  const waiting = signal(false);
  const kept = signal<Plans | null>(null);
  let turn = 0;

  async function loadKept(): Promise<void> {
    const answer = await ask<Plans>('GET', '/plans');
    if (answer.ok) kept.value = answer.body;
  }

  async function changed<T>(change: Promise<Answer<T>>): Promise<Trouble | null> {
    const answer = await change;
    await loadKept();
    return answer.ok ? null : answer.trouble;
  }

  return {
    plan,
    trouble,
    waiting,
    kept,
    loadKept,
    async look(fillAt, bottles) {
      turn += 1;
      const mine = turn;
      waiting.value = true;
      const query = new URLSearchParams({ fillAt, bottles });
      const answer = await ask<FillPlan>('GET', `/kegs/${encodeURIComponent(kegId)}/plan?${query}`);
      // An older answer that comes late must not replace a newer one.
      if (mine !== turn) return;
      waiting.value = false;
      trouble.value = answer.ok ? null : answer.trouble;
      if (answer.ok) plan.value = answer.body;
    },
    keep: (request) => changed(ask<KeptPlan>('POST', '/plans', request)),
    cancel: (planId) => changed(ask('DELETE', `/plans/${encodeURIComponent(planId)}`)),
    renewCalendar: () => changed(ask<PlanCalendar>('POST', '/plans/calendar')),
  };
}
