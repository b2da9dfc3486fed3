import { useEffect, useState } from 'preact/hooks';
import type { ChannelReport } from '../../src/contract/channel.ts';
import { ChannelForm } from '../components/channel-form/channel-form.tsx';
import { NewSecret } from '../components/channel-form/new-secret.tsx';
import { ChannelRow } from '../components/channel-row/channel-row.tsx';
import { PersonForm } from '../components/person-form/person-form.tsx';
import { PersonRow } from '../components/person-form/person-row.tsx';
import { PushHere } from '../components/push-here/push-here.tsx';
import { SETTINGS_PAGES } from '../components/sub-pages/of-alerts.ts';
import { SubPages } from '../components/sub-pages/sub-pages.tsx';
import type { Trouble } from '../store/api.ts';
import { followEvery } from '../store/clock.ts';
import { pushAbility, tellHere, tellHereNoMore, toldHere } from '../store/push.ts';
import { TELLING_PATH } from '../store/routes.ts';
import {
  type ChannelInput,
  channels,
  idFrom,
  people,
  putChannel,
  putPerson,
  removeBrowser,
  removePerson,
  testChannel,
} from '../store/telling.ts';
import '../styles/lists.css';

const EVERY_MS = 30_000;

/** Who is told of alerts, by which ways, and how those ways do. */
export function TellingPage() {
  useEffect(() => followEvery(EVERY_MS, () => void loadAll()), []);
  const listed = channels.value.value?.channels ?? null;
  const persons = people.value.value?.people ?? null;
  const push = listed?.find(({ kind }) => kind === 'web-push') ?? null;
  return (
    <div class="sheet lists">
      <h1>Who is told, and how</h1>
      <SubPages label="Settings" here={TELLING_PATH} pages={SETTINGS_PAGES} />
      {listed === null || persons === null ? (
        <p class="note">{channels.trouble.value?.detail ?? 'Asking for channels and people.'}</p>
      ) : (
        <div class="parts">
          <div>
            <People />
            <PushHere
              ability={pushAbility()}
              toldPersonId={toldHere.value?.personId ?? null}
              people={persons}
              hasChannel={push !== null}
              onTell={(personId) => tellHere(personId, push?.channelId ?? '')}
              onTellNoMore={tellHereNoMore}
            />
          </div>
          <Channels listed={listed} />
        </div>
      )}
    </div>
  );
}

function People() {
  const [adding, setAdding] = useState(false);
  const persons = people.value.value?.people ?? [];
  const listed = channels.value.value?.channels ?? [];
  const zones = 'supportedValuesOf' in Intl ? Intl.supportedValuesOf('timeZone') : [];
  return (
    <section class="part" aria-labelledby="h-people">
      <header>
        <h2 id="h-people">People</h2>
      </header>
      {persons.length === 0 && <p>Nobody is told of anything yet. First add a channel, then a person.</p>}
      <ul class="rows">
        {persons.map((person) => (
          <PersonRow
            // Made anew with another list of channels: the form lists them.
            key={person.personId}
            person={person}
            channels={listed}
            zones={zones}
            onKeep={(entry) => putPerson(person.personId, entry)}
            onRemove={() => removePerson(person.personId)}
            onRemoveBrowser={(subscriptionId) => removeBrowser(person.personId, subscriptionId)}
          />
        ))}
      </ul>
      {adding ? (
        <PersonForm
          person={null}
          channels={listed}
          zones={zones}
          onKeep={(entry) => putPerson(newPersonId(entry.name), entry)}
          onDone={() => setAdding(false)}
        />
      ) : (
        <div class="doing">
          <button class="btn" type="button" onClick={() => setAdding(true)}>
            Add a person
          </button>
        </div>
      )}
    </section>
  );
}

const newPersonId = (name: string): string =>
  idFrom(name, people.value.peek()?.people.map(({ personId }) => personId) ?? []);

function Channels({ listed }: { readonly listed: readonly ChannelReport[] }) {
  const [adding, setAdding] = useState(false);
  const [made, setMade] = useState<{ readonly name: string; readonly secret: string } | null>(null);
  const put = async (entry: ChannelInput): Promise<Trouble | null> => {
    const answer = await putChannel(entry.channelId, entry);
    if (!answer.ok) return answer.trouble;
    const secret = answer.body.channels.find(({ channelId }) => channelId === entry.channelId)?.newSecret ?? null;
    if (secret !== null) setMade({ name: entry.name, secret });
    return null;
  };
  return (
    <section class="part" aria-labelledby="h-channels">
      <header>
        <h2 id="h-channels">Channels</h2>
        <p class="note">by which messages leave</p>
      </header>
      {made !== null && <NewSecret {...made} onSeen={() => setMade(null)} />}
      <ul class="rows">
        {listed.map((channel) => (
          <ChannelRow
            key={channel.channelId}
            channel={channel}
            people={people.value.value?.people ?? []}
            onTest={(entry) => thenLoad(testChannel(channel.channelId, entry))}
            onChange={put}
            onRemove={() => remove(channel.channelId)}
          />
        ))}
      </ul>
      {adding ? (
        <ChannelForm
          channel={null}
          taken={listed.map(({ channelId }) => channelId)}
          onKeep={put}
          onDone={() => setAdding(false)}
        />
      ) : (
        <div class="doing">
          <button class="btn" type="button" onClick={() => setAdding(true)}>
            Add a channel
          </button>
        </div>
      )}
    </section>
  );
}

async function remove(channelId: string): Promise<Trouble | null> {
  const answer = await putChannel(channelId, null);
  return answer.ok ? null : answer.trouble;
}

async function thenLoad<T>(asked: Promise<T>): Promise<T> {
  const answer = await asked;
  await channels.load();
  return answer;
}

async function loadAll(): Promise<void> {
  await Promise.all([channels.load(), people.load()]);
}
