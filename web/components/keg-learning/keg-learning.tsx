import { useState } from 'preact/hooks';
import type { KegLearnt } from '../../../src/contract/learning.ts';
import { dayAndMonth } from '../../format/times.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { Trouble } from '../form/trouble.tsx';
import { useTrouble } from '../form/use-trouble.ts';

interface Props {
  readonly learnt: NonNullable<KegLearnt['learnt']>;
  readonly zone: string;
  /** Forgets it; resolves with what went wrong, or null. */
  readonly onForget: () => Promise<Told | null>;
}

/** What the keg's beers taught of the keg itself, and the way to forget it. */
export function KegLearning({ learnt, zone, onForget }: Props) {
  const [trouble, setTrouble] = useTrouble();
  const [busy, setBusy] = useState(false);
  const forget = async (): Promise<void> => {
    setBusy(true);
    setTrouble(await onForget());
    setBusy(false);
  };
  return (
    <section class="part" aria-labelledby="h-learning">
      <header>
        <h2 id="h-learning">What it taught</h2>
      </header>
      <p>
        Left alone, beer in this keg takes up two thirds of what it lacks in about <b>{daysText(learnt.days)}</b>,
        likely {figure(learnt.lowDays)} to {daysText(learnt.highDays)}. <b>{learnt.batchName}</b> taught it, until{' '}
        {dayAndMonth(Date.parse(learnt.endedAt), zone)}; the next beer begins with it.
      </p>
      {learnt.cooling !== null && <Cooling cooling={learnt.cooling} />}
      <p class="note">
        Another keg under this name, another fridge, or a new dip tube or lid? Then it is better forgotten.
      </p>
      <button class="btn" type="button" disabled={busy} onClick={() => void forget()}>
        Forget it
      </button>
      <Trouble trouble={trouble} />
    </section>
  );
}

/** How fast it follows its fridge. In whole hours: nobody plans by less. */
function Cooling({ cooling }: { readonly cooling: NonNullable<Props['learnt']['cooling']> }) {
  const [low, high] = [cooling.lowHours, cooling.highHours].map((hours) => hours.toFixed(0));
  return (
    <p>
      It cools by two thirds of the way in <b>{low === high ? `about ${low} h` : `${low} to ${high} h`}</b>.
    </p>
  );
}

const figure = (days: number): string => days.toFixed(1);

function daysText(days: number): string {
  return `${figure(days)} days`;
}
