import { useState } from 'preact/hooks';
import type { HeardTopic } from '../../../src/contract/catalogue.ts';
import { digits } from '../../format/numbers.ts';
import { ageWords } from '../../format/times.ts';
import { QUANTITY_WORD } from '../../format/words.ts';
import type { ProbeEntry } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { serviceNow } from '../../store/clock.ts';
import { SelectField, TextField } from '../form/field.tsx';
import { Trouble } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import {
  guessFrom,
  isPressure,
  isTemperature,
  numbersIn,
  readTopic,
  subjectKind,
  type TopicFields,
  unitsFor,
  usualId,
} from './entry.ts';
import './place-topic.css';

export interface Subjects {
  readonly keg: readonly Choice[];
  readonly place: readonly Choice[];
  readonly gas: readonly Choice[];
}
type Choice = readonly [value: string, label: string];

interface Props {
  /** Null: a topic that is not listed, to be typed. */
  readonly heard: HeardTopic | null;
  readonly subjects: Subjects;
  /** Ids of the probes that are known already. */
  readonly taken: ReadonlySet<string>;
  readonly onPlace: (probeId: string, entry: ProbeEntry) => Promise<Told | null>;
}

const UNIT_WORD: Readonly<Record<string, string>> = {
  Cel: '°C',
  '[degF]': '°F',
  '[psi]': 'psi',
  '[lb_av]': 'lb',
  '[ppm]': 'ppm',
};
const QUANTITIES: readonly TopicFields['quantity'][] = [
  'beer-temperature',
  'headspace-pressure',
  'air-temperature',
  'bottle-temperature',
  'regulator-pressure',
  'cylinder-pressure',
  'cylinder-mass',
  'keg-mass',
  'purge-pressure',
  'ambient-pressure',
  'room-co2',
  'beer-flow',
];

/** A topic that means nothing yet: say what it measures, and where. */
export function PlaceTopic({ heard, subjects, taken, onPlace }: Props) {
  const numbers = numbersIn(heard?.sample ?? '');
  const [typed, setTyped] = useState('');
  const topic = heard?.topic ?? typed.trim();
  const guess = guessFrom(
    heard?.topic ?? '',
    subjects.keg.map(([id]) => id),
  );
  const [fields, setFields] = useState<TopicFields>({
    ...guess,
    unit: unitsFor(guess.quantity)[0] ?? 'Cel',
    pointer: numbers[0]?.pointer ?? '',
    reference: 'gauge',
    place: 'wall',
  });
  const entry = useEntry();
  const set = (change: Partial<TopicFields>): void => setFields({ ...fields, ...change });
  const submit = (event: Event): void => {
    event.preventDefault();
    if (topic === '') {
      entry.refuse('Give the topic, such as garage/shelf-7/temp.');
      return;
    }
    if (fields.of === '') {
      entry.refuse(
        choicesFor(subjectKind(fields.quantity), subjects).length > 0
          ? 'Say where it is.'
          : 'There is no keg to put it on yet. Add a keg first: publish one value on probes/<name>/beer-temperature.',
      );
      return;
    }
    const read = readTopic(topic, fields, taken);
    void entry.send(() => onPlace(read.probeId, read.entry));
  };
  return (
    <form class="place-topic" onSubmit={submit}>
      {heard !== null && <Heard heard={heard} />}
      <div class="fields">
        {heard === null && (
          <TextField label="Topic" value={typed} placeholder="garage/shelf-7/temp" onValue={setTyped} />
        )}
        <TopicChoices fields={fields} set={set} subjects={subjects} />
        {numbers.length > 0 ? (
          <SelectField
            label="The value is"
            value={fields.pointer}
            choices={numbers.map(({ pointer, value }) => [pointer, `${pointer} (${digits(value, 2)})`])}
            onValue={(pointer) => set({ pointer })}
          />
        ) : (
          <TextField
            label="Where in the message the value stands (JSON Pointer)"
            value={fields.pointer}
            hint="Empty: the message is the number"
            onValue={(pointer) => set({ pointer })}
          />
        )}
      </div>
      {taken.has(usualId(fields)) && (
        <p class="note">
          There is such a probe already. This one stands beside it, and the one heard last counts; forget the one that
          is wrong.
        </p>
      )}
      <div class="doing">
        <button class="btn main" type="submit" disabled={entry.busy}>
          Use it
        </button>
      </div>
      <Trouble trouble={entry.trouble} />
    </form>
  );
}

function Heard({ heard }: { readonly heard: HeardTopic }) {
  return (
    <p>
      <code>{heard.topic}</code> says <b class="code">{heard.sample}</b>
      <br />
      <span class="note">
        {ageWords(serviceNow.value - Date.parse(heard.lastHeardAt))},{' '}
        {heard.messages === 1 ? 'one message' : `${heard.messages} messages`} so far
      </span>
    </p>
  );
}

interface ChoicesProps {
  readonly fields: TopicFields;
  readonly set: (change: Partial<TopicFields>) => void;
  readonly subjects: Subjects;
}

function TopicChoices({ fields, set, subjects }: ChoicesProps) {
  const chooseQuantity = (chosen: string): void => {
    const quantity = QUANTITIES.find((one) => one === chosen) ?? 'beer-temperature';
    const choices = choicesFor(subjectKind(quantity), subjects);
    // A place or a gas supply that is the only one needs no choosing.
    const of = choices.length === 1 ? (choices[0]?.[0] ?? '') : '';
    set({
      quantity,
      unit: unitsFor(quantity)[0] ?? 'Cel',
      of,
      reference: quantity === 'ambient-pressure' ? 'absolute' : 'gauge',
    });
  };
  return (
    <>
      <SelectField
        label="This is"
        value={fields.quantity}
        choices={QUANTITIES.map((quantity) => [quantity, QUANTITY_WORD[quantity]])}
        onValue={chooseQuantity}
      />
      <SelectField
        label="Where"
        value={fields.of}
        choices={[['', 'Choose'], ...choicesFor(subjectKind(fields.quantity), subjects)]}
        onValue={(of) => set({ of })}
      />
      <SelectField
        label="Unit"
        value={fields.unit}
        choices={unitsFor(fields.quantity).map((unit) => [unit, UNIT_WORD[unit] ?? unit])}
        onValue={(unit) => set({ unit: unitsFor(fields.quantity).find((one) => one === unit) ?? fields.unit })}
      />
      {isPressure(fields.quantity) && (
        <SelectField
          label="At rest in open air it says"
          value={fields.reference}
          choices={[
            ['gauge', 'nought (gauge)'],
            ['absolute', 'the air pressure (absolute)'],
          ]}
          onValue={(reference) => set({ reference: reference === 'absolute' ? 'absolute' : 'gauge' })}
        />
      )}
      {isTemperature(fields.quantity) && (
        <SelectField
          label="The probe sits"
          value={fields.place}
          choices={[
            ['wall', 'on the outside wall'],
            ['thermowell', 'in the beer'],
            ['air', 'in the air beside it'],
          ]}
          onValue={(place) => set({ place: place === 'thermowell' || place === 'air' ? place : 'wall' })}
        />
      )}
    </>
  );
}

function choicesFor(kind: ReturnType<typeof subjectKind>, subjects: Subjects): readonly Choice[] {
  switch (kind) {
    case 'keg':
      return subjects.keg;
    case 'place':
      return subjects.place;
    case 'gas':
      return subjects.gas;
    case 'site':
      return [['site', 'Here']];
  }
}
