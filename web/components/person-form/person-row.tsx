import { useState } from 'preact/hooks';
import type { ChannelReport, Person } from '../../../src/contract/channel.ts';
import { listed } from '../../format/words.ts';
import type { Trouble as Told } from '../../store/api.ts';
import type { PersonInput } from '../../store/telling.ts';
import { Trouble } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { PersonForm } from './person-form.tsx';

interface Props {
  readonly person: Person;
  readonly channels: readonly ChannelReport[];
  readonly zones: readonly string[];
  readonly onKeep: (entry: PersonInput) => Promise<Told | null>;
  readonly onRemove: () => Promise<Told | null>;
  readonly onRemoveBrowser: (subscriptionId: string) => Promise<Told | null>;
}

const LEVEL_WORD = {
  news: 'is told everything',
  attention: 'is told what someone should look at',
  urgent: 'is told only what is urgent',
} as const;

/** One person: what is told, when, by which ways; with what can be changed of it. */
export function PersonRow({ person, channels, zones, onKeep, onRemove, onRemoveBrowser }: Props) {
  const [open, setOpen] = useState<'change' | 'remove' | null>(null);
  const removal = useEntry();
  const toggle = (what: 'change' | 'remove') => (): void => setOpen(open === what ? null : what);
  return (
    <li class="person">
      <p>
        <b>{person.name}</b> <span class="soft">{LEVEL_WORD[person.leastLevel]}</span>
      </p>
      <p class="note">{waysSentence(person, channels)}</p>
      {!person.reachable && (
        <p class="trouble">
          No way at once reaches {person.name} now: nobody would be told. Look at the ways and send a test.
        </p>
      )}
      {person.browsers.length > 0 && (
        <ul class="browsers">
          {person.browsers.map(({ subscriptionId, service }) => (
            <li key={subscriptionId}>
              A browser, by {service}
              <button
                class="btn plain"
                type="button"
                onClick={() => void removal.send(() => onRemoveBrowser(subscriptionId))}
              >
                Tell it no more
              </button>
            </li>
          ))}
        </ul>
      )}
      <div class="doing">
        <button class="btn plain" type="button" aria-expanded={open === 'change'} onClick={toggle('change')}>
          Change<span class="aside"> {person.name}</span>
        </button>
        <button class="btn plain" type="button" aria-expanded={open === 'remove'} onClick={toggle('remove')}>
          Remove<span class="aside"> {person.name}</span>
        </button>
      </div>
      {open === 'change' && (
        <PersonForm person={person} channels={channels} zones={zones} onKeep={onKeep} onDone={() => setOpen(null)} />
      )}
      {open === 'remove' && (
        <div class="doing">
          <button class="btn" type="button" disabled={removal.busy} onClick={() => void removal.send(onRemove)}>
            Tell {person.name} nothing any more
          </button>
        </div>
      )}
      <Trouble trouble={removal.trouble} />
    </li>
  );
}

/** "At once by Browsers. If nobody is on it after 30 min, by Club mail. Quiet from 22:00 to 07:00." */
export function waysSentence(person: Person, channels: readonly ChannelReport[]): string {
  const by = (step: 'first' | 'second'): string =>
    listed(
      person.ways
        .filter((way) => way.step === step)
        .map(({ channelId }) => channels.find((one) => one.channelId === channelId)?.name ?? channelId),
    );
  const [first, second] = [by('first'), by('second')];
  const parts = [first === '' ? 'By no way at once.' : `At once by ${first}.`];
  if (second !== '') parts.push(`If nobody is on it after ${person.escalateAfterMin ?? 0}\u00a0min, by ${second}.`);
  const { quietHours } = person;
  if (quietHours !== null) parts.push(`Quiet from ${quietHours.from} to ${quietHours.to}, unless it is urgent.`);
  return parts.join(' ');
}
