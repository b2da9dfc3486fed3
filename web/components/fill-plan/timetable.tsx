import type { FillPlan, PlanStep } from '../../../src/contract/plan.ts';
import { countWords, daysOf, hourOf, rangeOf } from './words.ts';
import './fill-plan.css';
import { hourText } from '../../format/times.ts';

interface Props {
  readonly plan: FillPlan;
  readonly nowMs: number;
  readonly zone: string;
}

/** One rail: a solid tag is for you, an open ring is the keg's, the gate with the disc is the first bottle. */
export function Timetable({ plan, nowMs, zone }: Props) {
  if (plan.steps.length === 0) return null;
  const last = plan.steps[plan.steps.length - 1];
  return (
    <section class="part" aria-labelledby="h-timetable">
      <header>
        <h2 id="h-timetable">Worked back from {hourText(Date.parse(plan.fillAt), zone)}</h2>
        <p class="note">{countWords(plan.steps)}</p>
      </header>
      <div class="times">
        {daysOf(plan.steps, zone).map(({ name, steps }) => (
          <div key={name}>
            <h3 class="day">{name}</h3>
            <ol>
              {steps.map((step) => (
                <Stop
                  key={`${step.kind}${step.at}`}
                  step={step}
                  hour={hourOf(step, plan.at, zone)}
                  range={rangeOf(step, nowMs, zone)}
                  isLast={step === last}
                />
              ))}
            </ol>
          </div>
        ))}
      </div>
    </section>
  );
}

interface StopProps {
  readonly step: PlanStep;
  readonly hour: string;
  readonly range: string;
  readonly isLast: boolean;
}

function Stop({ step, hour, range, isLast }: StopProps) {
  const kinds = ['stop', step.by === 'keg' ? 'alone' : '', step.kind === 'fill' ? 'gate' : '', isLast ? 'last' : ''];
  return (
    <li class={kinds.filter((kind) => kind !== '').join(' ')}>
      <span class="h">{hour}</span>
      <span class="rail" aria-hidden="true" />
      <div class="w">
        <b>{step.what}</b>
        <span class="soft">
          {step.by === 'keg' && <span class="aside">The keg does it by itself. </span>}
          {step.why}
        </span>
      </div>
      <span class="l">{range}</span>
    </li>
  );
}
