import { useState } from 'preact/hooks';
import type { HeardTopic, Probe } from '../../../src/contract/catalogue.ts';
import { digits } from '../../format/numbers.ts';
import { ageWords } from '../../format/times.ts';
import { counted } from '../../format/words.ts';
import type { ProbeEntry } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { serviceNow } from '../../store/clock.ts';
import { SelectField, TextField } from '../form/field.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { type Besides, emptyTopic, numbersIn, readTopic, rivals, type TopicFields } from './entry.ts';
import { guessTopic } from './guess.ts';
import { RivalQuestion } from './rival-question.tsx';
import { nameOf, type Subjects, TOPIC_LABELS, TopicChoices } from './topic-choices.tsx';
import './place-topic.css';

interface Props {
  /** Null: a topic that is not listed, to be typed. */
  readonly heard: HeardTopic | null;
  readonly subjects: Subjects;
  /** All that is placed or heard already: a new probe must not take the place of one of them unasked. */
  readonly probes: readonly Probe[];
  readonly onPlace: (probeId: string, entry: ProbeEntry) => Promise<Told | null>;
}

/** A topic that means nothing yet: say what it measures, and where. */
export function PlaceTopic({ heard, subjects, probes, onPlace }: Props) {
  const numbers = numbersIn(heard?.sample ?? '');
  const [typed, setTyped] = useState('');
  const topic = heard?.topic ?? typed.trim();
  const [chosen, setChosen] = useState<TopicFields | null>(null);
  // Until the reader chooses something, the guess follows what is known of kegs and what is typed.
  const fields =
    chosen ?? emptyTopic(guessTopic(topic, idsOf(subjects)), numbers.length === 1 ? (numbers[0]?.pointer ?? '') : '');
  const [asking, setAsking] = useState(false);
  const entry = useEntry();
  const others = rivals(topic, fields, probes);
  const set = (change: Partial<TopicFields>): void => {
    setChosen({ ...fields, ...change });
    setAsking(false);
  };
  const place = (besides: Besides): void => {
    const read = readTopic(topic, fields, besides, probes, serviceNow.peek());
    setAsking(false);
    if (read.ok) void entry.send(() => onPlace(read.probeId, read.entry));
    else entry.refuse(read.detail);
  };
  const submit = (event: Event): void => {
    event.preventDefault();
    const read = readTopic(topic, fields, { kind: 'as-well' }, probes, serviceNow.peek());
    if (!read.ok) entry.refuse(read.detail);
    else if (others.length > 0) setAsking(true);
    else place({ kind: 'as-well' });
  };
  return (
    <form class="place-topic" onSubmit={submit}>
      {heard !== null && <Heard heard={heard} />}
      <div class="fields">
        {heard === null && (
          <TextField
            label="Topic"
            value={typed}
            required
            placeholder="garage/shelf-7/temp"
            wrong={wrongAt(entry.trouble, '/topic')}
            onValue={setTyped}
          />
        )}
        <TopicChoices fields={fields} set={set} subjects={subjects} trouble={entry.trouble} />
        <Pointer numbers={numbers} fields={fields} set={set} trouble={entry.trouble} />
      </div>
      {asking ? (
        <RivalQuestion
          name={nameOf(fields.of, subjects)}
          rivals={others}
          busy={entry.busy}
          onChoose={place}
          onLeave={() => setAsking(false)}
        />
      ) : (
        <div class="doing">
          <button class="btn main" type="submit" disabled={entry.busy}>
            Use it
          </button>
        </div>
      )}
      <Trouble trouble={entry.trouble} labels={TOPIC_LABELS} />
    </form>
  );
}

const idsOf = (subjects: Subjects) => ({
  kegs: subjects.keg.map(([id]) => id),
  places: subjects.place.map(([id]) => id),
  supplies: subjects.gas.map(([id]) => id),
});

function Heard({ heard }: { readonly heard: HeardTopic }) {
  const { messages } = heard;
  return (
    <p>
      <code>{heard.topic}</code> says <b class="code">{heard.sample}</b>
      <br />
      <span class="note">
        {ageWords(serviceNow.value - Date.parse(heard.lastHeardAt))},{' '}
        {messages === 1 ? 'one message' : `${messages > 12 ? messages : counted(messages).toLowerCase()} messages`} so
        far
      </span>
    </p>
  );
}

interface PointerProps {
  readonly numbers: ReturnType<typeof numbersIn>;
  readonly fields: TopicFields;
  readonly set: (change: Partial<TopicFields>) => void;
  readonly trouble: Told | null;
}

/** Which number of the message is meant: chosen where the last message shows them, else typed. */
function Pointer({ numbers, fields, set, trouble }: PointerProps) {
  const wrong = wrongAt(trouble, '/pointer');
  if (numbers.length > 0) {
    return (
      <SelectField
        label="The value is"
        value={fields.pointer}
        required
        choices={numbers.map(({ pointer, value }) => [pointer, `${pointer} (${digits(value, 2)})`])}
        wrong={wrong}
        onValue={(pointer) => set({ pointer })}
      />
    );
  }
  return (
    <TextField
      label="Where in the message the value stands (JSON Pointer)"
      value={fields.pointer}
      hint="Empty: the message is the number"
      wrong={wrong}
      onValue={(pointer) => set({ pointer })}
    />
  );
}
