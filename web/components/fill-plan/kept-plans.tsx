import type { KeptPlan, Plans } from '../../../src/contract/plan.ts';
import { clockTime, hourText, localTimes, longDay } from '../../format/times.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { CopyLine } from '../copy-line/copy-line.tsx';
import { Trouble } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';

interface Props {
  readonly plans: Plans;
  readonly nowMs: number;
  readonly zone: string;
  /** Where this service is reached, without a slash at the end. */
  readonly origin: string;
  readonly onShow: (plan: KeptPlan) => void;
  readonly onCancel: (planId: string) => Promise<Told | null>;
  readonly onRenew: () => Promise<Told | null>;
}

const STATE_WORD = { kept: '', over: 'over', cancelled: 'cancelled' } as const;

/** Plans that are kept, what changed about them, and the calendar that shows them. */
export function KeptPlans({ plans, nowMs, zone, origin, onShow, onCancel, onRenew }: Props) {
  const entry = useEntry();
  return (
    <section class="part" aria-labelledby="h-kept-plans">
      <header>
        <h2 id="h-kept-plans">Kept plans</h2>
      </header>
      {plans.plans.length === 0 && <p class="soft">None yet. A kept plan is worked out anew as things change.</p>}
      <ul class="rows">
        {plans.plans.map((one) => (
          <li key={one.planId} class="kept-plan">
            <h3>
              {one.name}: {longDay(Date.parse(one.fillAt), zone)}, {hourText(Date.parse(one.fillAt), zone)}
            </h3>
            <p class="soft">{one.state === 'kept' ? one.plan.reason : `It is ${STATE_WORD[one.state]}.`}</p>
            {one.changes.slice(0, 3).map(({ at, says }) => (
              <p key={at + says} class="note">
                {clockTime(Date.parse(at), nowMs, zone)}: {localTimes(says, nowMs, zone)}
              </p>
            ))}
            {one.state === 'kept' && (
              <div class="doing">
                <button class="btn" type="button" onClick={() => onShow(one)}>
                  Show it
                </button>
                <button class="btn plain" type="button" onClick={() => void entry.send(() => onCancel(one.planId))}>
                  Cancel this plan
                </button>
              </div>
            )}
          </li>
        ))}
      </ul>
      <details>
        <summary>Show kept plans in a calendar</summary>
        <p class="note">
          Give this address to your calendar as one to subscribe to. Whoever knows it can read your plans.
        </p>
        <CopyLine text={`${origin}${plans.calendarPath}`} label="the address of the calendar" />
        <button class="btn plain" type="button" onClick={() => void entry.send(onRenew)}>
          Make a new address, so that this one no longer works
        </button>
      </details>
      <Trouble trouble={entry.trouble} />
    </section>
  );
}
