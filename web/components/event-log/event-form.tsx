import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import { carbonationUnit, pressureUnit, temperatureUnit, volumeUnit } from '../../format/numbers.ts';
import { fromWallTime, toWallTime } from '../../format/times.ts';
import type { NewEvent } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { NumberField, SelectField, TextField, TimeField } from '../form/field.tsx';
import { Trouble } from '../form/trouble.tsx';
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
      <Facts kind={kind} units={units} fields={fields} set={(change) => setFields({ ...fields, ...change })} />
      {at === '' ? (
        <button class="btn plain" type="button" onClick={() => setAt(toWallTime(defaults.nowMs(), defaults.zone))}>
          Just now. Was it earlier?
        </button>
      ) : (
        <TimeField label="When" value={at} onValue={setAt} />
      )}
      <p class="note">{sharedNote(kind, defaults)}</p>
      <button class="btn main" type="submit" disabled={entry.busy}>
        Enter it
      </button>
      <Trouble trouble={entry.trouble} />
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
}

function Facts({ kind, units, fields, set }: FactsProps) {
  if (kind === 'note') return <TextField label="Note" value={fields.text} onValue={(text) => set({ text })} />;
  if (kind === 'target-set') {
    const unit = carbonationUnit(units);
    return (
      <>
        <NumberField label={`From, ${unit}`} value={fields.windowFrom} onValue={(windowFrom) => set({ windowFrom })} />
        <NumberField label={`to, ${unit}`} value={fields.windowTo} onValue={(windowTo) => set({ windowTo })} />
        <NumberField
          label={`Fill bottles at, ${temperatureUnit(units)}`}
          value={fields.fillAt}
          onValue={(fillAt) => set({ fillAt })}
        />
      </>
    );
  }
  const label = amountLabel(kind, units);
  if (label === null) return null;
  return <NumberField label={label} value={fields.amount} required onValue={(amount) => set({ amount })} />;
}

function amountLabel(kind: EnteredKind, units: Units): string | null {
  switch (kind) {
    case 'regulator-set':
      return `To, ${pressureUnit(units)}`;
    case 'fridge-set':
      return `To, ${temperatureUnit(units)}`;
    case 'headspace-purged':
      return 'How many times';
    case 'beer-drawn':
      return `How much, ${volumeUnit(units)}`;
    case 'keg-shaken':
      return 'For how long, s';
    case 'keg-weighed':
      return 'Weight, kg';
    case 'sample-measured':
      return 'Carbonation, volumes';
    default:
      return null;
  }
}
