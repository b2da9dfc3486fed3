import { QUANTITY_WORD } from '../../format/words.ts';
import type { Trouble } from '../../store/api.ts';
import { SelectField } from '../form/field.tsx';
import { wrongAt } from '../form/trouble.tsx';
import {
  isPressure,
  isTemperature,
  ofQuantity,
  type Quantity,
  type SubjectKind,
  subjectKind,
  type TopicFields,
  unitsFor,
} from './entry.ts';

export interface Subjects {
  readonly keg: readonly Choice[];
  readonly place: readonly Choice[];
  readonly gas: readonly Choice[];
}
type Choice = readonly [value: string, label: string];

/** Fields that say themselves what the service refused of them. */
export const TOPIC_LABELS = {
  '/topic': 'Topic',
  '/quantity': 'This is',
  '/of': 'Where',
  '/unit': 'Unit',
  '/reference': 'At rest in open air it says',
  '/place': 'The probe sits',
  '/pointer': 'the place of the value',
} as const;

const UNIT_WORD: Readonly<Record<string, string>> = {
  Cel: '°C',
  '[degF]': '°F',
  '[psi]': 'psi',
  '[lb_av]': 'lb',
  '[ppm]': 'ppm',
};
const QUANTITIES: readonly Quantity[] = [
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

interface Props {
  readonly fields: TopicFields;
  readonly set: (change: Partial<TopicFields>) => void;
  readonly subjects: Subjects;
  readonly trouble: Trouble | null;
}

/** What the topic measures, and of what. Further questions come with the first answer. */
export function TopicChoices({ fields, set, subjects, trouble }: Props) {
  const { quantity } = fields;
  const chooseQuantity = (chosen: string): void => {
    const next = QUANTITIES.find((one) => one === chosen) ?? '';
    set({ ...ofQuantity(next), of: subjectAfter(fields, next) });
  };
  return (
    <>
      <SelectField
        label="This is"
        value={quantity}
        required
        choices={QUANTITIES.map((one) => [one, QUANTITY_WORD[one]])}
        wrong={wrongAt(trouble, '/quantity')}
        onValue={chooseQuantity}
      />
      {quantity !== '' && (
        <Further quantity={quantity} fields={fields} set={set} subjects={subjects} trouble={trouble} />
      )}
    </>
  );
}

function Further({ quantity, fields, set, subjects, trouble }: Props & { readonly quantity: Quantity }) {
  const kind = subjectKind(quantity);
  const choices = choicesFor(kind, subjects);
  return (
    <>
      <SelectField
        label="Where"
        value={fields.of}
        required
        choices={choices}
        {...(choices.length === 0 ? { hint: NOBODY[kind] } : {})}
        wrong={wrongAt(trouble, '/of')}
        onValue={(of) => set({ of })}
      />
      <SelectField
        label="Unit"
        value={fields.unit}
        choices={unitsFor(quantity).map((unit) => [unit, UNIT_WORD[unit] ?? unit])}
        wrong={wrongAt(trouble, '/unit')}
        onValue={(unit) => set({ unit: unitsFor(quantity).find((one) => one === unit) ?? fields.unit })}
      />
      {isPressure(quantity) && (
        <SelectField
          label="At rest in open air it says"
          value={fields.reference}
          choices={[
            ['gauge', 'nought (gauge)'],
            ['absolute', 'the air pressure (absolute)'],
          ]}
          wrong={wrongAt(trouble, '/reference')}
          onValue={(reference) => set({ reference: reference === 'absolute' ? 'absolute' : 'gauge' })}
        />
      )}
      {isTemperature(quantity) && (
        <SelectField
          label="The probe sits"
          value={fields.place}
          required
          choices={SITS}
          wrong={wrongAt(trouble, '/place')}
          onValue={(place) => set({ place: SITS.find(([one]) => one === place)?.[0] ?? '' })}
        />
      )}
    </>
  );
}

const SITS = [
  ['wall', 'on the outside wall'],
  ['thermowell', 'in the beer'],
  ['air', 'in the air beside it'],
] as const;

const NOBODY: Readonly<Record<SubjectKind, string>> = {
  keg: 'There is no keg yet. Publish one value on probes/<name>/beer-temperature first.',
  place: 'There is no place yet.',
  gas: 'There is no gas supply yet.',
  site: '',
};

/** A place that was chosen stands while the quantity is of the same kind of thing; the site needs no choice. */
function subjectAfter(fields: TopicFields, next: Quantity | ''): string {
  if (next === '') return '';
  if (subjectKind(next) === 'site') return 'site';
  return fields.quantity !== '' && subjectKind(fields.quantity) === subjectKind(next)
    ? fields.of
    : ofKind(fields, next);
}

/** Where only the keg was guessed, it stands for any quantity of kegs. */
const ofKind = (fields: TopicFields, next: Quantity): string =>
  fields.quantity === '' && subjectKind(next) === 'keg' && !fields.of.includes('/') ? fields.of : '';

function choicesFor(kind: SubjectKind, subjects: Subjects): readonly Choice[] {
  return kind === 'site' ? [['site', 'Here']] : subjects[kind];
}

/** What a keg, place or gas supply is called. */
export function nameOf(of: string, subjects: Subjects): string {
  const all = [...subjects.keg, ...subjects.place, ...subjects.gas];
  return all.find(([id]) => id === of)?.[1] ?? (of === 'site' ? 'This site' : of);
}
