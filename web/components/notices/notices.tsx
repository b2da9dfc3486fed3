import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { EventEntry, KeptEvent } from '../../../src/contract/event.ts';
import type { Notice } from '../../../src/contract/state.ts';
import { clockTime } from '../../format/times.ts';
import { byWeight, EVENT_WORD, NOTICE_ACTS } from '../../format/words.ts';
import type { Answer, Trouble as Told } from '../../store/api.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { eventDetail } from '../event-log/entry.ts';
import { Trouble } from '../form/trouble.tsx';
import { useTrouble } from '../form/use-trouble.ts';
import { Sign } from '../sign/sign.tsx';
import './notices.css';

interface Props {
  readonly notices: readonly Notice[];
  readonly units: Units;
  readonly onEnter: (entry: EventEntry) => Promise<Answer<KeptEvent>>;
  readonly onWithdraw: (eventId: string) => Promise<Told | null>;
}

interface Entered {
  readonly eventId: string;
  readonly words: string;
}

/** What the probes say and nobody entered: one tap enters it, and one takes that back. */
export function Notices({ notices, units, onEnter, onWithdraw }: Props) {
  const [trouble, setTrouble] = useTrouble();
  const [busy, setBusy] = useState(false);
  const [entered, setEntered] = useState<Entered | null>(null);
  if (notices.length === 0 && entered === null) return null;
  const enter = async (entry: EventEntry): Promise<void> => {
    setBusy(true);
    const answer = await onEnter(entry);
    setBusy(false);
    setTrouble(answer.ok ? null : answer.trouble);
    // The notice itself goes away with the next state of the keg: the way back must outlive it.
    if (answer.ok) setEntered({ eventId: answer.body.eventId, words: entryWords(entry, units) });
  };
  const undo = async (eventId: string): Promise<void> => {
    setBusy(true);
    const told = await onWithdraw(eventId);
    setBusy(false);
    setTrouble(told);
    if (told === null) setEntered(null);
  };
  return (
    <section class="part notices" aria-labelledby="h-notices">
      <header>
        <h2 id="h-notices">Noticed</h2>
      </header>
      {entered !== null && (
        <p class="entered" role="status">
          Entered: {entered.words}.{' '}
          <button class="btn" type="button" disabled={busy} onClick={() => void undo(entered.eventId)}>
            Take it back
          </button>
        </p>
      )}
      <Trouble trouble={trouble} />
      <ul class="rows">
        {byWeight(notices).map((notice) => (
          <Row key={notice.name} notice={notice} units={units} busy={busy} onEnter={enter} />
        ))}
      </ul>
    </section>
  );
}

interface RowProps extends Pick<Props, 'units'> {
  readonly notice: Notice;
  readonly busy: boolean;
  readonly onEnter: (entry: EventEntry) => Promise<void>;
}

function Row({ notice, units, busy, onEnter }: RowProps) {
  const { message, advice, entry } = notice;
  const acts = NOTICE_ACTS.has(notice.name);
  return (
    <li class={acts ? 'notice is-act' : 'notice'}>
      {acts && <Sign kind="act" />}
      <div>
        <p class="said">{message}</p>
        {advice !== '' && <p>{advice}</p>}
      </div>
      {entry !== null && (
        <button class="btn" type="button" disabled={busy} onClick={() => void onEnter(entry)}>
          Enter it: {entryWords(entry, units)}
        </button>
      )}
    </li>
  );
}

/** "gas closed, 13:10", "regulator turned to 62 kPa, Mon 13:10" */
function entryWords(entry: EventEntry, units: Units): string {
  const detail = eventDetail({ ...entry, eventId: '', enteredAt: entry.at, kegId: null }, units);
  const what = EVENT_WORD[entry.kind].toLowerCase();
  const when = clockTime(Date.parse(entry.at), serviceMinute.value, zone.value);
  return `${detail === '' ? what : `${what} ${detail}`}, ${when}`;
}
