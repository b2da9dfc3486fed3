import { useState } from 'preact/hooks';
import type { ChannelReport, Person } from '../../../src/contract/channel.ts';
import type { Trouble as Told } from '../../store/api.ts';
import type { PersonInput } from '../../store/telling.ts';
import { NumberField, SelectField, TextField } from '../form/field.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { type PersonFields, personFields, readPerson, type Step, type WayFields, waysFor } from './entry.ts';
import '../../styles/lists.css';

interface Props {
  /** Null for a new one. */
  readonly person: Person | null;
  readonly channels: readonly ChannelReport[];
  readonly zones: readonly string[];
  readonly onKeep: (entry: PersonInput) => Promise<Told | null>;
  readonly onDone: () => void;
}

const LEVELS = [
  ['news', 'everything, good news too'],
  ['attention', 'what someone should look at within hours'],
  ['urgent', 'only what someone must act on now'],
] as const;
const STEPS = [
  ['none', 'not by this'],
  ['first', 'at once'],
  ['second', 'if nobody says “I am on it” in time'],
] as const;
const TEMPERATURES = [
  ['', 'as set for the fridge'],
  ['Cel', '°C'],
  ['[degF]', '°F'],
] as const;
const PRESSURES = [
  ['bar', 'bar'],
  ['[psi]', 'psi'],
  ['kPa', 'kPa'],
] as const;
const CARBONATIONS = [
  ['volumes', 'volumes'],
  ['g/L', 'g/L'],
] as const;
const LABELS = {
  '/name': 'Name',
  '/timeZone': 'Time zone',
  '/quietHours': 'Quiet hours',
  '/escalateAfterMin': 'Second way after',
  '/ways': 'Ways',
} as const;

/** The chosen one of a list of choices; the first if it is none of them. */
function chosen<T extends string>(choices: readonly (readonly [T, string])[], value: string, fallback: T): T {
  return choices.find(([one]) => one === value)?.[0] ?? fallback;
}

/** Who is told, when, and by which ways. */
export function PersonForm({ person, channels, zones, onKeep, onDone }: Props) {
  const [fields, setFields] = useState<PersonFields>(() => personFields(person, channels));
  const entry = useEntry();
  const change = (next: Partial<PersonFields>): void => setFields({ ...fields, ...next });
  const submit = (event: Event): void => {
    event.preventDefault();
    const read = readPerson(fields);
    if (typeof read === 'string') entry.refuse(read);
    else void entry.send(() => onKeep(read), onDone);
  };
  const { trouble } = entry;
  return (
    <form class="person-form" onSubmit={submit}>
      <div class="fields">
        <TextField
          label="Name"
          value={fields.name}
          required
          wrong={wrongAt(trouble, '/name')}
          onValue={(name) => change({ name })}
        />
        <SelectField
          label="Is told"
          value={fields.leastLevel}
          choices={LEVELS}
          onValue={(value) => change({ leastLevel: chosen(LEVELS, value, 'news') })}
        />
        <ClockField label="Quiet from" value={fields.quietFrom} onValue={(quietFrom) => change({ quietFrom })} />
        <ClockField label="Quiet until" value={fields.quietTo} onValue={(quietTo) => change({ quietTo })} />
        <TextField
          label="Time zone"
          value={fields.timeZone}
          list="person-zones"
          hint="Empty: that of the fridge. Quiet hours go by it"
          wrong={wrongAt(trouble, '/timeZone')}
          onValue={(timeZone) => change({ timeZone })}
        />
        <datalist id="person-zones">
          {zones.map((zone) => (
            <option key={zone} value={zone} />
          ))}
        </datalist>
        <UnitFields fields={fields} change={change} />
      </div>
      <p class="note">
        In quiet hours only what is urgent comes; the rest waits until they are over. Messages are English.
      </p>
      <Ways fields={fields} channels={channels} trouble={trouble} change={change} />
      <div class="doing">
        <button class="btn main" type="submit" disabled={entry.busy}>
          {person === null ? 'Add this person' : 'Keep it so'}
        </button>
        <button class="btn plain" type="button" onClick={onDone}>
          Leave it
        </button>
      </div>
      <Trouble trouble={trouble} labels={LABELS} />
    </form>
  );
}

interface Parts {
  readonly fields: PersonFields;
  readonly change: (next: Partial<PersonFields>) => void;
}

function UnitFields({ fields, change }: Parts) {
  return (
    <>
      <SelectField
        label="Units in messages"
        value={fields.temperature}
        choices={TEMPERATURES}
        onValue={(value) => change({ temperature: chosen(TEMPERATURES, value, '') })}
      />
      {fields.temperature !== '' && (
        <>
          <SelectField
            label="Pressure in"
            value={fields.pressure}
            choices={PRESSURES}
            onValue={(value) => change({ pressure: chosen(PRESSURES, value, 'bar') })}
          />
          <SelectField
            label="Carbonation in"
            value={fields.carbonation}
            choices={CARBONATIONS}
            onValue={(value) => change({ carbonation: chosen(CARBONATIONS, value, 'volumes') })}
          />
        </>
      )}
    </>
  );
}

function ClockField({ label, value, onValue }: { label: string; value: string; onValue: (value: string) => void }) {
  return (
    <label class="field">
      {label}
      <input type="time" value={value} onInput={(event) => onValue(event.currentTarget.value)} />
    </label>
  );
}

function Ways({
  fields,
  channels,
  trouble,
  change,
}: Parts & { readonly channels: readonly ChannelReport[]; readonly trouble: Told | null }) {
  const possible = waysFor(channels);
  const set = (channelId: string, next: Partial<WayFields>): void =>
    change({ ways: fields.ways.map((way) => (way.channelId === channelId ? { ...way, ...next } : way)) });
  if (possible.length === 0)
    return (
      <p class="note">There is no channel for people yet. Add one, then say here by which ways this person is told.</p>
    );
  return (
    <div class="fields">
      {fields.ways.map(({ channelId, step, address }) => {
        const channel = possible.find((one) => one.channelId === channelId);
        if (channel === undefined) return null;
        const addressed = step !== 'none' && (channel.kind === 'email' || channel.kind === 'relay');
        return (
          <div key={channelId} class="by wide">
            <SelectField
              label={`By ${channel.name}`}
              value={step}
              choices={STEPS}
              onValue={(value) => set(channelId, { step: chosen<Step>(STEPS, value, 'none') })}
            />
            {addressed && (
              <TextField
                label={channel.kind === 'email' ? 'Mail address' : 'Address, if its template asks for one'}
                value={address}
                required={channel.kind === 'email'}
                onValue={(next) => set(channelId, { address: next })}
              />
            )}
          </div>
        );
      })}
      {fields.ways.some(({ step }) => step === 'second') && (
        <NumberField
          label="Second way after, min"
          value={fields.escalateAfterMin}
          required
          wrong={wrongAt(trouble, '/escalateAfterMin')}
          onValue={(escalateAfterMin) => change({ escalateAfterMin })}
        />
      )}
      {wrongAt(trouble, '/ways') !== undefined && (
        <p class="field wide">
          <span class="wrong">{wrongAt(trouble, '/ways')}</span>
        </p>
      )}
    </div>
  );
}
