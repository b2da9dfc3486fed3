import { useState } from 'preact/hooks';
import type { Person } from '../../../src/contract/channel.ts';
import type { Trouble as Told } from '../../store/api.ts';
import type { PushAbility } from '../../store/push.ts';
import { SelectField } from '../form/field.tsx';
import { Trouble } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import '../../styles/lists.css';

interface Props {
  readonly ability: PushAbility;
  /** Whom this browser tells; null: nobody yet. */
  readonly toldPersonId: string | null;
  readonly people: readonly Person[];
  /** The channel for browsers is set up. */
  readonly hasChannel: boolean;
  readonly onTell: (personId: string) => Promise<Told | null>;
  readonly onTellNoMore: () => Promise<Told | null>;
}

/** Why this browser cannot be told, in plain words. */
export const WHY_NOT: Readonly<Record<Exclude<PushAbility, 'possible'>, string>> = {
  insecure:
    'Not from this address: browsers take messages only from pages that come over https, or from the machine itself (http://localhost). Put something that speaks https before Quietkeg, open it by that address, and ask again. Until then let a mail or a webhook tell you.',
  unsupported:
    'This browser takes no messages from pages. On an iPhone or iPad, put this page on the home screen first, and open it from there.',
  denied: 'This browser was told to show no messages of this page. Allow them in its settings, then ask again.',
};

/** Messages to this very browser, while no page is open. */
export function PushHere({ ability, toldPersonId, people, hasChannel, onTell, onTellNoMore }: Props) {
  const [personId, setPersonId] = useState(people[0]?.personId ?? '');
  const entry = useEntry();
  return (
    <section class="part push-here" aria-labelledby="h-push">
      <header>
        <h2 id="h-push">Tell me here</h2>
        <p class="note">messages on this device, while no page is open</p>
      </header>
      <div class="push-body">{body()}</div>
      <Trouble trouble={entry.trouble} />
    </section>
  );

  function body() {
    if (toldPersonId !== null) {
      const name = people.find((one) => one.personId === toldPersonId)?.name ?? toldPersonId;
      return (
        <>
          <p>This browser tells {name}. Send a test by the channel for browsers to see it.</p>
          <button class="btn" type="button" disabled={entry.busy} onClick={() => void entry.send(onTellNoMore)}>
            Tell me here no more
          </button>
        </>
      );
    }
    if (ability !== 'possible') return <p>{WHY_NOT[ability]}</p>;
    if (!hasChannel || people.length === 0) {
      const missing = [...(hasChannel ? [] : ['a channel for browsers']), ...(people.length > 0 ? [] : ['a person'])];
      return <p>First add {missing.join(' and ')}: then this browser can be asked.</p>;
    }
    const choices = people.map((person) => [person.personId, person.name] as const);
    const chosen = personId === '' ? (people[0]?.personId ?? '') : personId;
    return (
      <>
        <SelectField label="I am" value={chosen} choices={choices} onValue={setPersonId} />
        <button
          class="btn main"
          type="button"
          disabled={entry.busy}
          onClick={() => void entry.send(() => onTell(chosen))}
        >
          Tell me here
        </button>
        <p class="note">
          It goes by the push service of the browser’s maker, encrypted. It may be late or lost, so have another way
          too.
        </p>
      </>
    );
  }
}
