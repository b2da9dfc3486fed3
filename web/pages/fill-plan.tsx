import { useEffect, useMemo, useState } from 'preact/hooks';
import type { FillPlan, KeptPlan } from '../../src/contract/plan.ts';
import type { KegState } from '../../src/contract/state.ts';
import { fieldsOf, firstFields, type PlanFields, readPlan } from '../components/fill-plan/entry.ts';
import { KeptPlans } from '../components/fill-plan/kept-plans.tsx';
import { Needs, PlanCautions, SetPoints } from '../components/fill-plan/needs.tsx';
import { PlanForm } from '../components/fill-plan/plan-form.tsx';
import { Slack } from '../components/fill-plan/slack.tsx';
import { Timetable } from '../components/fill-plan/timetable.tsx';
import { atHourWords } from '../components/fill-plan/words.ts';
import { Trouble } from '../components/form/trouble.tsx';
import { useEntry } from '../components/form/use-entry.ts';
import { serviceMinute, serviceNow } from '../store/clock.ts';
import { units, view, zone } from '../store/dashboard.ts';
import { type FillPlanning, fillPlanning } from '../store/fill-plan.ts';
import { pathOfKeg } from '../store/routes.ts';
import '../styles/lists.css';

/** The day of filling, worked back from the hour of the first bottle. */
export function FillPlanPage({ kegId }: { readonly kegId: string }) {
  const keg = view.value.kegs.find((one) => one.kegId === kegId && one.adopted);
  if (keg !== undefined) return <Known keg={keg} />;
  if (!view.value.known || view.value.connection !== 'live') return <p class="loading">Asking what was last heard.</p>;
  return (
    <div class="sheet">
      <h1>There is no keg “{kegId}”</h1>
      <p>
        It was removed, or never heard. <a href="/">See all kegs</a>.
      </p>
    </div>
  );
}

function Known({ keg }: { readonly keg: KegState }) {
  const planning = useMemo(() => fillPlanning(keg.kegId), [keg.kegId]);
  const [fields, setFields] = useState<PlanFields>(() => firstFields(serviceNow.peek(), zone.peek()));
  const [wrong, setWrong] = useState<string | null>(null);
  const name = keg.batchName ?? keg.name;
  useEffect(() => void planning.loadKept(), [planning]);
  const ask = async (asked: PlanFields): Promise<void> => {
    const entry = readPlan(asked, zone.value);
    setWrong(entry.ok ? null : entry.detail);
    if (entry.ok) await planning.look(entry.fillAt, entry.bottles);
  };
  const show = (plan: KeptPlan): void => {
    const kept = fieldsOf(plan.fillAt, plan.bottles, zone.value);
    setFields(kept);
    void ask(kept);
  };
  const trouble = wrong === null ? planning.trouble.value : { detail: wrong, errors: [] };
  const plan = planning.plan.value;
  return (
    <div class="sheet plan-page">
      <p class="back">
        <a href={pathOfKeg(keg.kegId)}>‹ {name}</a>
      </p>
      <h1>Bottles from {name}</h1>
      {keg.batchId === null ? (
        <p>There is no beer in this keg by what was entered. Enter it on the keg’s page first.</p>
      ) : (
        <PlanForm
          fields={fields}
          trouble={trouble}
          busy={planning.waiting.value}
          onFields={setFields}
          onAsk={() => void ask(fields)}
        />
      )}
      {plan === null && <p class="soft plan-word">{HINT}</p>}
      <div class="plan-parts">
        {plan !== null && (
          <>
            <div class="answer">
              <Answer plan={plan} keg={keg} planning={planning} />
            </div>
            <div class="table">
              <Timetable plan={plan} nowMs={serviceMinute.value} zone={zone.value} />
            </div>
            <div class="side">
              <Needs plan={plan} units={units.value} />
              <SetPoints plan={plan} units={units.value} />
            </div>
          </>
        )}
        <div class="rest">
          {plan !== null && <PlanCautions plan={plan} />}
          <Kept keg={keg} planning={planning} onShow={show} />
        </div>
      </div>
    </div>
  );
}

const HINT = 'Say when the first bottle is to be filled and how many there are. The way back to now follows from it.';

interface AnswerProps {
  readonly plan: FillPlan;
  readonly keg: KegState;
  readonly planning: FillPlanning;
}

function Answer({ plan, keg, planning }: AnswerProps) {
  const entry = useEntry();
  const shown = units.value;
  const bottles = plan.bottleGroups.map(({ count, litres }) => `${count}x${litres}`).join(',');
  const keep = () => planning.keep({ kegId: keg.kegId, fillAt: plan.fillAt, bottles });
  return (
    <section class="part" aria-labelledby="h-will-it">
      <header>
        <h2 id="h-will-it">Will it be ready?</h2>
      </header>
      <div class="plan-word" role="status">
        <p>
          <b>{plan.reason}</b>
        </p>
        {plan.steps.length > 0 && <p class="soft">{atHourWords(plan, shown)}</p>}
        <Slack plan={plan} nowMs={serviceMinute.value} zone={zone.value} />
      </div>
      {plan.steps.length > 0 && (
        <div class="doing">
          <button class="btn main" type="button" disabled={entry.busy} onClick={() => void entry.send(keep)}>
            Keep this plan
          </button>
          <a class="btn" href={`${pathOfKeg(keg.kegId)}/fill`}>
            Start filling
          </a>
        </div>
      )}
      {entry.done && <p role="status">Kept. It is worked out anew as things change.</p>}
      <Trouble trouble={entry.trouble} />
    </section>
  );
}

interface KeptProps {
  readonly keg: KegState;
  readonly planning: FillPlanning;
  readonly onShow: (plan: KeptPlan) => void;
}

/** Those of this keg; the calendar shows the plans of all. */
function Kept({ keg, planning, onShow }: KeptProps) {
  const all = planning.kept.value;
  if (all === null) return null;
  const own = { ...all, plans: all.plans.filter(({ kegId }) => kegId === keg.kegId) };
  return (
    <KeptPlans
      plans={own}
      nowMs={serviceMinute.value}
      zone={zone.value}
      origin={location.origin}
      onShow={onShow}
      onCancel={planning.cancel}
      onRenew={planning.renewCalendar}
    />
  );
}
