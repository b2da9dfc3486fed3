import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import {
  carbonation,
  carbonationUnit,
  pressure,
  pressureUnit,
  temperature,
  temperatureUnit,
  volume,
  volumeUnit,
} from '../../format/numbers.ts';
import { fromWallTime, toWallTime } from '../../format/times.ts';
import type { NewEvent } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { NumberField, SelectField, TextField, TimeField } from '../form/field.tsx';
import { type Labels, Trouble, wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { DID, ENTERED_KINDS, type EnteredKind, type EventFields, readEvent, type Subjects } from './entry.ts';

export interface FormDefaults extends Subjects {
  readonly zone: string;
  readonly nowMs: () => number;
  /** Names of what shared entries hold for. */
  readonly placeName: string;
  readonly supplyName: string;
  readonly window: Pick<EventFields, 'windowFrom' | 'windowTo' | 'fillAt'>;
}

interface Props {
  readonly units: Units;
  readonly defaults: FormDefaults;
  readonly onEnter: (event: NewEvent) => Promise<Told | null>;
}

/** One thing that was done: what, when, and the number that belongs to it. */
export function EventForm({ units, defaults, onEnter }: Props) {
  const [kind, setKind] = useState<EnteredKind>('gas-opened');
  const blank: EventFields = { amount: '', text: '', ...defaults.window };
  const [fields, setFields] = useState<EventFields>(blank);
  const [at, setAt] = useState('');
  const entry = useEntry();
  const submit = (event: Event): void => {
    event.preventDefault();
    const atMs = at === '' ? defaults.nowMs() : fromWallTime(at, defaults.zone);
    const read = readEvent(kind, fields, new Date(atMs ?? defaults.nowMs()).toISOString(), units, defaults);
    if (!read.ok) {
      entry.refuse(read.detail);
      return;
    }
    void entry.send(
      () => onEnter(read.event),
      () => {
        setFields(blank);
        setAt('');
      },
    );
  };
  return (
    <form class="did" onSubmit={submit}>
      <SelectField
        label="What did you do?"
        value={kind}
        choices={ENTERED_KINDS.map((one) => [one, DID[one]])}
        onValue={(chosen) => setKind(ENTERED_KINDS.find((one) => one === chosen) ?? 'note')}
      />
      <Facts
        kind={kind}
        units={units}
        fields={fields}
        set={(change) => setFields({ ...fields, ...change })}
        trouble={entry.trouble}
      />
      {at === '' ? (
        <button class="btn plain" type="button" onClick={() => setAt(toWallTime(defaults.nowMs(), defaults.zone))}>
          Just now. Was it earlier?
        </button>
      ) : (
        <TimeField label="When" value={at} wrong={wrongAt(entry.trouble, '/at')} onValue={setAt} />
      )}
      <p class="note">{sharedNote(kind, defaults)}</p>
      <button class="btn main" type="submit" disabled={entry.busy}>
        Enter it
      </button>
      <Trouble trouble={entry.trouble} labels={labelsOf(kind, units, at !== '')} />
    </form>
  );
}

function sharedNote(kind: EnteredKind, { placeName, supplyName }: FormDefaults): string {
  if (kind === 'regulator-set' || kind === 'cylinder-changed') return `Counts for every keg on “${supplyName}”.`;
  if (kind === 'fridge-set') return `Counts for every keg in “${placeName}”.`;
  if (kind === 'keg-emptied') return 'This ends the batch.';
  return '';
}

interface FactsProps {
  readonly kind: EnteredKind;
  readonly units: Units;
  readonly fields: EventFields;
  readonly set: (change: Partial<EventFields>) => void;
  readonly trouble: Told | null;
}

/** What the fields on show are called, by the pointers of what they send. */
function labelsOf(kind: EnteredKind, units: Units, withTime: boolean): Labels {
  const time: Labels = withTime ? { '/at': 'When' } : {};
  if (kind === 'note') return { ...time, '/text': 'Note' };
  if (kind === 'target-set') {
    return { ...time, '/volumes': 'From', '/tolerance': 'to', '/celsius': 'Fill bottles at' };
  }
  const amount = amountOf(kind, units);
  return amount === null ? time : { ...time, [amount.pointer]: amount.label };
}

function Facts({ kind, units, fields, set, trouble }: FactsProps) {
  if (kind === 'note') {
    return (
      <TextField label="Note" value={fields.text} wrong={wrongAt(trouble, '/text')} onValue={(text) => set({ text })} />
    );
  }
  if (kind === 'target-set') {
    const unit = carbonationUnit(units);
    return (
      <>
        <NumberField
          label={`From, ${unit}`}
          value={fields.windowFrom}
          wrong={wrongAt(trouble, '/volumes', (value) => carbonation(value, units))}
          onValue={(windowFrom) => set({ windowFrom })}
        />
        <NumberField
          label={`to, ${unit}`}
          value={fields.windowTo}
          wrong={wrongAt(trouble, '/tolerance')}
          onValue={(windowTo) => set({ windowTo })}
        />
        <NumberField
          label={`Fill bottles at, ${temperatureUnit(units)}`}
          value={fields.fillAt}
          wrong={wrongAt(trouble, '/celsius', (value) => temperature(value, units))}
          onValue={(fillAt) => set({ fillAt })}
        />
      </>
    );
  }
  const amount = amountOf(kind, units);
  if (amount === null) return null;
  return (
    <NumberField
      label={amount.label}
      value={fields.amount}
      required
      wrong={wrongAt(trouble, amount.pointer, amount.shown)}
      onValue={(typed) => set({ amount: typed })}
    />
  );
}

interface Amount {
  readonly label: string;
  /** Where it stands in what is sent. */
  readonly pointer: string;
  /** A limit of it in the unit of the label. */
  readonly shown: (value: number) => string;
}

function amountOf(kind: EnteredKind, units: Units): Amount | null {
  switch (kind) {
    case 'regulator-set':
      return { label: `To, ${pressureUnit(units)}`, pointer: '/kpaGauge', shown: (value) => pressure(value, units) };
    case 'fridge-set':
      return {
        label: `To, ${temperatureUnit(units)}`,
        pointer: '/celsius',
        shown: (value) => temperature(value, units),
      };
    case 'headspace-purged':
      return { label: 'How many times', pointer: '/times', shown: String };
    case 'beer-drawn':
      return { label: `How much, ${volumeUnit(units)}`, pointer: '/litres', shown: (value) => volume(value, units) };
    case 'keg-shaken':
      return { label: 'For how long, s', pointer: '/seconds', shown: (value) => `${value} s` };
    case 'keg-weighed':
      return { label: 'Weight, kg', pointer: '/kg', shown: (value) => `${value} kg` };
    case 'sample-measured':
      return {
        label: `Carbonation, ${carbonationUnit(units)}`,
        pointer: '/volumes',
        shown: (value) => carbonation(value, units),
      };
    default:
      return null;
  }
}
