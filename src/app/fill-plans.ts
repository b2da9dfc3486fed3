import type * as contract from '../contract/index.ts';
import { readBottles } from '../domain/fill-plan/bottles.ts';
import type { PlannedFill } from '../domain/verdict/basis.ts';
import type { Clock } from '../ports/clock.ts';
import type { NewId } from '../ports/ids.ts';
import type { Log } from '../ports/log.ts';
import type { PlanStore } from '../ports/plan-store.ts';
import type { KegEstimates } from './keg-estimates.ts';
import { type KeptPlan as Kept, keptPlans } from './kept-plan.ts';
import type { LiveProbes } from './live-probes.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import { changeWords } from './plan-changes.ts';
import { cancelEntries, entriesOf, type PlanEntry } from './plan-entries.ts';
import { type PlanWish, planKeg } from './plan-keg.ts';
import { instant } from './present.ts';
import type { Register } from './register.ts';

export interface FillPlanOptions {
  readonly register: Register;
  readonly estimates: KegEstimates;
  readonly probes: LiveProbes;
  readonly store: PlanStore;
  readonly clock: Clock;
  readonly newId: NewId;
  readonly log: Log;
}

const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;
/** A plan is worked out anew so often, or as soon as something was entered, but one plan a tick at most (ms). */
const AGAIN_MS = 15 * MINUTE_MS;
const SOON_MS = MINUTE_MS;
/** How long a plan that is over stays (ms), and how far ahead one may look. */
const KEPT_AFTER_MS = 7 * 24 * HOUR_MS;
const AHEAD_MS_MAX = 60 * 24 * HOUR_MS;
const PLANS_MAX = 50;
const CHANGES_MAX = 20;

/** Fill plans: looked at once, or kept and worked out anew as things change, with a calendar of them. */
export class FillPlans {
  readonly #options: FillPlanOptions;
  readonly #kept: Map<string, Kept>;
  #changedAtMs = Number.NEGATIVE_INFINITY;
  #key: string | null;

  constructor(options: FillPlanOptions) {
    this.#options = options;
    this.#kept = new Map(keptPlans(options.store));
    this.#key = options.store.calendarKey();
    options.register.onChange(() => {
      this.#changedAtMs = options.clock.nowMs();
    });
  }

  /** A look, which is not kept. */
  look(kegId: string, fillAt: string, bottles: string): Outcome<contract.FillPlan> {
    return this.#plan({ kegId, fillAtMs: Date.parse(fillAt), bottles });
  }

  /** Refused if the keg is unknown, nothing is known of its beer, or the beer is not enough. */
  keep(request: contract.PlanRequest): Outcome<contract.KeptPlan> {
    const { register, clock, newId } = this.#options;
    const nowMs = clock.nowMs();
    if (this.#open(nowMs).length >= PLANS_MAX) {
      return refuse('plan-refused', `${PLANS_MAX} plans are kept already. Cancel one first.`);
    }
    const fillAtMs = Date.parse(request.fillAt);
    const wish = { kegId: request.kegId, fillAtMs, bottles: request.bottles };
    const planned = this.#plan(wish);
    if (!planned.ok) return planned;
    const plan = planned.value;
    if (plan.steps.length === 0) return refuse('plan-refused', plan.reason);
    const batch = register.batchAt(request.kegId, nowMs);
    const name = request.name ?? batch?.name ?? request.kegId;
    const planId = newId();
    const named = { planId, name, timeZone: register.site().timeZone, nowMs };
    const kept: Kept = {
      ...{ planId, ...wish, name, plan, said: plan, batchId: batch?.batchId ?? '' },
      madeAtMs: nowMs,
      checkedAtMs: nowMs,
      cancelledAtMs: null,
      changes: [],
      entries: entriesOf([], plan, named),
    };
    this.#keep(kept);
    return done(this.#present(kept, nowMs));
  }

  /** Those to come first, soonest first; then those that are over. */
  list(): contract.Plans {
    const nowMs = this.#options.clock.nowMs();
    const rank = (one: Kept) => (this.#stateOf(one, nowMs) === 'kept' ? 0 : 1);
    const sorted = [...this.#kept.values()].toSorted((a, b) => rank(a) - rank(b) || a.fillAtMs - b.fillAtMs);
    return { plans: sorted.map((one) => this.#present(one, nowMs)), calendarPath: this.calendarPath() };
  }

  cancel(planId: string): Outcome<null> {
    const known = this.#kept.get(planId);
    if (known === undefined) return refuse('plan-unknown', `There is no plan ${planId}. It may be over for long.`);
    if (known.cancelledAtMs !== null) return done(null);
    const nowMs = this.#options.clock.nowMs();
    this.#keep({ ...known, cancelledAtMs: nowMs, entries: cancelEntries(known.entries, nowMs) });
    return done(null);
  }

  /** Takes in a plan of another instance as it is; false if it is here already. */
  bringIn(plan: Kept): boolean {
    if (this.#kept.has(plan.planId)) return false;
    this.#keep(plan);
    return true;
  }

  /** The address of the calendar below this service's own. Its key is the only thing that guards it. */
  calendarPath(): string {
    return `/api/v1/plans.ics?key=${this.#key ?? this.#newKey()}`;
  }

  /** Makes the old address useless. */
  renewCalendar(): contract.PlanCalendar {
    this.#newKey();
    return { calendarPath: this.calendarPath() };
  }

  /** All entries of all plans; refused to whoever does not know the key. */
  calendar(key: string): Outcome<readonly PlanEntry[]> {
    if (this.#key === null || key !== this.#key) {
      return refuse(
        'calendar-unknown',
        'This calendar address is no longer in use. Copy the present one from the plan page.',
      );
    }
    return done([...this.#kept.values()].flatMap(({ entries }) => entries));
  }

  /** The next fill of a keg that is planned and not over; null: none. */
  planned(kegId: string): PlannedFill | null {
    const nowMs = this.#options.clock.nowMs();
    const [next] = this.#open(nowMs)
      .filter((one) => one.kegId === kegId)
      .toSorted((a, b) => a.fillAtMs - b.fillAtMs);
    if (next === undefined) return null;
    const { steps, setPoints } = next.plan;
    const down = steps.find(
      ({ kind, value }) => kind === 'regulator' && value !== null && value <= setPoints.servingKpaGauge + 1,
    );
    return { endsAtMs: endOf(next), turnsDownAtMs: down === undefined ? null : Date.parse(down.at) };
  }

  /** Now and then: works one plan out anew, if it is time, and forgets those that are long over. */
  tick(): void {
    const { clock, log } = this.#options;
    const nowMs = clock.nowMs();
    for (const one of this.#kept.values()) if (nowMs - endOf(one) > KEPT_AFTER_MS) this.#forget(one.planId);
    const [due] = this.#open(nowMs)
      .filter(({ checkedAtMs }) => nowMs - checkedAtMs >= (this.#changedAtMs >= checkedAtMs ? SOON_MS : AGAIN_MS))
      .toSorted((a, b) => a.checkedAtMs - b.checkedAtMs);
    if (due === undefined) return;
    try {
      this.#again(due, nowMs);
    } catch (error) {
      log.error(`the fill plan ${due.planId} failed: ${(error as Error).stack}`);
      this.#kept.set(due.planId, { ...due, checkedAtMs: nowMs });
    }
  }

  #again(before: Kept, nowMs: number): void {
    const { register } = this.#options;
    const { timeZone } = register.site();
    if (register.batchAt(before.kegId, nowMs)?.batchId !== before.batchId) {
      const says = 'The beer that this was planned for is no longer in the keg. The plan is cancelled.';
      this.#keep({
        ...before,
        checkedAtMs: nowMs,
        cancelledAtMs: nowMs,
        changes: [{ atMs: nowMs, says }, ...before.changes],
        entries: cancelEntries(before.entries, nowMs),
      });
      return;
    }
    const planned = nowMs >= before.fillAtMs ? null : this.#plan(before);
    // While nothing can be told, or the fill goes on, the last word stands.
    if (planned === null || !planned.ok) {
      this.#kept.set(before.planId, { ...before, checkedAtMs: nowMs });
      return;
    }
    const plan = planned.value;
    const news = changeWords(before.said, plan, nowMs, timeZone).map((says) => ({ atMs: nowMs, says }));
    const named = { planId: before.planId, name: before.name, timeZone, nowMs };
    const entries = entriesOf(before.entries, plan, named);
    const changes = [...news, ...before.changes].slice(0, CHANGES_MAX);
    const said = news.length > 0 ? plan : before.said;
    this.#keep({ ...before, plan, said, checkedAtMs: nowMs, changes, entries });
  }

  #plan({
    kegId,
    fillAtMs,
    bottles,
  }: {
    kegId: string;
    fillAtMs: number;
    bottles: string;
  }): Outcome<contract.FillPlan> {
    const { register, clock } = this.#options;
    const groups = readBottles(bottles);
    if (!groups.ok) return refuse('body-invalid', groups.reason);
    const nowMs = clock.nowMs();
    if (fillAtMs - nowMs > AHEAD_MS_MAX) {
      return refuse('body-invalid', 'fillAt: choose an hour within the next 60 days');
    }
    const keg = register.keg(kegId);
    if (keg === null) return refuse('keg-unknown', `No keg ${kegId} is in the catalogue. Add it first.`);
    const wish: PlanWish = { keg, nowMs, fillAtMs, bottles: groups.groups };
    return planKeg(this.#options, wish);
  }

  #open(nowMs: number): Kept[] {
    return [...this.#kept.values()].filter((one) => this.#stateOf(one, nowMs) === 'kept');
  }

  #stateOf(one: Kept, nowMs: number): contract.KeptPlan['state'] {
    if (one.cancelledAtMs !== null) return 'cancelled';
    return nowMs >= endOf(one) ? 'over' : 'kept';
  }

  #present(one: Kept, nowMs: number): contract.KeptPlan {
    const { planId, kegId, name, bottles, plan, changes } = one;
    return {
      ...{ planId, kegId, name, bottles, plan },
      fillAt: instant(one.fillAtMs),
      madeAt: instant(one.madeAtMs),
      checkedAt: instant(one.checkedAtMs),
      state: this.#stateOf(one, nowMs),
      changes: changes.map(({ atMs, says }) => ({ at: instant(atMs), says })),
    };
  }

  #keep(kept: Kept): void {
    this.#options.store.put(kept.planId, kept);
    this.#kept.set(kept.planId, kept);
  }

  #forget(planId: string): void {
    this.#options.store.remove(planId);
    this.#kept.delete(planId);
  }

  #newKey(): string {
    const { newId, store } = this.#options;
    const key = `${newId()}${newId()}`.replaceAll('-', '');
    store.saveCalendarKey(key);
    this.#key = key;
    return key;
  }
}

const endOf = ({ fillAtMs, plan }: Kept): number => fillAtMs + plan.needs.sessionMinutes * MINUTE_MS;
