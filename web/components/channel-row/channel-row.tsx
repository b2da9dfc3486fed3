import { useState } from 'preact/hooks';
import type { ChannelReport, ChannelTestResult, Person } from '../../../src/contract/channel.ts';
import { ageWords } from '../../format/times.ts';
import type { Answer, Trouble as Told } from '../../store/api.ts';
import { serviceMinute } from '../../store/clock.ts';
import type { ChannelInput, TestInput } from '../../store/telling.ts';
import { ChannelForm } from '../channel-form/channel-form.tsx';
import { SelectField, TextField } from '../form/field.tsx';
import { Trouble } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { Sign } from '../sign/sign.tsx';
import '../../styles/lists.css';
import { KIND_WORD, STATE_SIGN, STATE_WORD, testSentence, whereTo } from './words.ts';

interface Props {
  readonly channel: ChannelReport;
  readonly people: readonly Person[];
  readonly onTest: (entry: TestInput) => Promise<Answer<ChannelTestResult>>;
  readonly onChange: (entry: ChannelInput) => Promise<Told | null>;
  readonly onRemove: () => Promise<Told | null>;
}

/** One way by which messages leave, how it is doing, and a test that shows what the other side answers. */
export function ChannelRow({ channel, people, onTest, onChange, onRemove }: Props) {
  const [open, setOpen] = useState<'change' | 'remove' | null>(null);
  const removal = useEntry();
  const toggle = (what: 'change' | 'remove') => (): void => setOpen(open === what ? null : what);
  const kind = STATE_SIGN[channel.state];
  return (
    <li class={`channel is-${kind}`}>
      <p class="line">
        <Sign kind={kind} />
        <b>{channel.name}</b>
        <span class={kind === 'act' ? 'failing' : 'note'}>
          {KIND_WORD[channel.kind]}, {STATE_WORD[channel.state]}
        </span>
      </p>
      <p class="note">{whereTo(channel)}.</p>
      <p class="note">{historyOf(channel)}</p>
      <Test channel={channel} people={people} onTest={onTest} />
      {!channel.builtIn && (
        <div class="doing">
          <button class="btn plain" type="button" aria-expanded={open === 'change'} onClick={toggle('change')}>
            Change<span class="aside"> {channel.name}</span>
          </button>
          <button class="btn plain" type="button" aria-expanded={open === 'remove'} onClick={toggle('remove')}>
            Remove<span class="aside"> {channel.name}</span>
          </button>
        </div>
      )}
      {open === 'change' && <ChannelForm channel={channel} onKeep={onChange} onDone={() => setOpen(null)} />}
      {open === 'remove' && (
        <div class="doing">
          <button class="btn" type="button" disabled={removal.busy} onClick={() => void removal.send(onRemove)}>
            Remove {channel.name} for good
          </button>
          <span class="note">What still waits on it is not sent.</span>
        </div>
      )}
      <Trouble trouble={removal.trouble} />
    </li>
  );
}

function historyOf({ lastSuccessAt, lastFailureAt, lastAnswer, waiting, failures, givenUp, kind }: ChannelReport) {
  if (kind === 'live') return '';
  const now = serviceMinute.value;
  const ago = (at: string): string => ageWords(now - Date.parse(at));
  const parts = [lastSuccessAt === null ? 'Nothing was delivered yet.' : `Last delivered ${ago(lastSuccessAt)}.`];
  if (waiting > 0) parts.push(`${waiting} waiting.`);
  if (lastFailureAt !== null)
    parts.push(`${failures} ${failures === 1 ? 'try' : 'tries'} failed, the last ${ago(lastFailureAt)}.`);
  if (givenUp > 0) parts.push(`${givenUp} given up after three days.`);
  if (lastAnswer !== null) parts.push(`The last answer was: ${lastAnswer}`);
  return parts.join(' ');
}

function Test({ channel, people, onTest }: Pick<Props, 'channel' | 'people' | 'onTest'>) {
  const [results, setResults] = useState<ChannelTestResult['results'] | null>(null);
  const [personId, setPersonId] = useState('');
  const [address, setAddress] = useState('');
  const entry = useEntry();
  const perPerson = channel.kind === 'web-push';
  const addressed = channel.kind === 'email' || channel.kind === 'relay';
  const send = async (): Promise<Told | null> => {
    setResults(null);
    const to = address.trim();
    const answer = await onTest(
      perPerson ? { personId: personId === '' ? null : personId } : addressed && to !== '' ? { address: to } : {},
    );
    if (!answer.ok) return answer.trouble;
    setResults(answer.body.results);
    return null;
  };
  const submit = (event: Event): void => {
    event.preventDefault();
    void entry.send(send);
  };
  return (
    <form class="test" onSubmit={submit}>
      {addressed && (
        <TextField
          label={channel.kind === 'email' ? 'Test goes to' : 'Test goes to (if its template asks for an address)'}
          value={address}
          required={channel.kind === 'email'}
          placeholder={channel.kind === 'email' ? 'name@example.org' : ''}
          onValue={setAddress}
        />
      )}
      {perPerson && (
        <SelectField
          label="Test goes to the browsers of"
          value={personId}
          required
          choices={people.map((person) => [person.personId, person.name])}
          onValue={setPersonId}
        />
      )}
      <button class="btn" type="submit" disabled={entry.busy}>
        {entry.busy ? 'Waiting for the answer' : 'Send a test'}
        <span class="aside"> by {channel.name}</span>
      </button>
      {results !== null && (
        <ul class="answers" role="status">
          {results.map((result) => (
            <li key={result.to} class={result.outcome === 'taken' ? '' : 'failing'}>
              {testSentence(result)}
            </li>
          ))}
        </ul>
      )}
      <Trouble trouble={entry.trouble} />
    </form>
  );
}
