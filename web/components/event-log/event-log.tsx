import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { KeptEvent } from '../../../src/contract/event.ts';
import { EVENT_WORD } from '../../format/words.ts';
import type { NewEvent } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { Trouble } from '../form/trouble.tsx';
import { useTrouble } from '../form/use-trouble.ts';
import { byFilling, type Shared, sharedWith } from './entry.ts';
import { EventForm, type FormDefaults } from './event-form.tsx';
import { EventList } from './event-list.tsx';
import './event-log.css';

interface Props {
  readonly events: readonly KeptEvent[];
  /** When the beer came into the keg; null while there is none. */
  readonly filledAtMs: number | null;
  readonly units: Units;
  readonly defaults: FormDefaults;
  readonly onEnter: (event: NewEvent) => Promise<Told | null>;
  readonly onWithdraw: (eventId: string) => Promise<Told | null>;
}

const SHOWN_FIRST = 7;

/** What the brewer did with the keg: newest first, each may be withdrawn; and the form to enter more. */
export function EventLog({ events, filledAtMs, units, defaults, onEnter, onWithdraw }: Props) {
  const [all, setAll] = useState(false);
  const [opened, setOpened] = useState(false);
  const [trouble, setTrouble] = useTrouble();
  const { newest, before } = byFilling(events, filledAtMs);
  const shown = all ? newest : newest.slice(0, SHOWN_FIRST);
  const list = {
    units,
    names: defaults,
    action: (event: KeptEvent) => (
      <Withdraw
        event={event}
        shared={sharedWith(event, defaults)}
        onWithdraw={async (id: string) => setTrouble(await onWithdraw(id))}
      />
    ),
  };
  return (
    <section class="part log" aria-labelledby="h-log">
      <header>
        <h2 id="h-log">What you did</h2>
      </header>
      <EventForm units={units} defaults={defaults} onEnter={onEnter} />
      <Trouble trouble={trouble} />
      <EventList events={shown} {...list} />
      {events.length === 0 && (
        <p class="note">Nothing was entered yet. What you do with gas, fridge and keg belongs here.</p>
      )}
      {newest.length > SHOWN_FIRST && (
        <button class="btn plain" type="button" aria-expanded={all} onClick={() => setAll(!all)}>
          {all ? 'Show fewer' : `Show all ${newest.length}`}
        </button>
      )}
      {before.length > 0 && (
        <details class="before" onToggle={(event) => setOpened(event.currentTarget.open)}>
          <summary>Before this beer came in: {before.length}</summary>
          {opened && <EventList events={before} {...list} />}
        </details>
      )}
    </section>
  );
}

/** Withdrawing asks once more in the same place: a slip of the finger must not rewrite the history of a beer. */
function Withdraw({
  event,
  shared,
  onWithdraw,
}: {
  readonly event: KeptEvent;
  readonly shared: Shared | null;
  readonly onWithdraw: (eventId: string) => Promise<void>;
}) {
  const [asked, setAsked] = useState(false);
  const what = EVENT_WORD[event.kind].toLowerCase();
  if (!asked) {
    return (
      <button class="btn plain small" type="button" onClick={() => setAsked(true)}>
        Withdraw<span class="aside"> {what}</span>
      </button>
    );
  }
  return (
    <span class="really">
      {event.kind === 'keg-filled' && <span>This ends the batch. </span>}
      {shared !== null && (
        <span>
          It counts for every keg {shared.how} “{shared.name}”.
        </span>
      )}
      <button class="btn" type="button" onClick={() => void onWithdraw(event.eventId)}>
        It did not happen<span class="aside">: {what}</span>
      </button>
      <button class="btn plain" type="button" onClick={() => setAsked(false)}>
        Keep it
      </button>
    </span>
  );
}
