import { useState } from 'preact/hooks';
import { carbonationUnit, temperatureUnit, volumeUnit } from '../../format/numbers.ts';
import type { NewBatch, NewEvent } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { NumberField, SelectField, TextField, TimeField } from '../form/field.tsx';
import { Trouble } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { type BatchFields, type Defaults, emptyBatch, readBatch } from './entry.ts';

interface Props {
  readonly defaults: Defaults;
  readonly onStart: (batch: NewBatch, further: readonly NewEvent[]) => Promise<Told | null>;
}

/** What is in this keg? Only the name must be given; each further fact makes the verdict surer. */
export function BatchForm({ defaults, onStart }: Props) {
  const [fields, setFields] = useState<BatchFields>(() => emptyBatch(defaults));
  const entry = useEntry();
  const set = (change: Partial<BatchFields>): void => setFields({ ...fields, ...change });
  const submit = (event: Event): void => {
    event.preventDefault();
    const read = readBatch(fields, defaults.units, defaults.zone);
    if (read.ok) void entry.send(() => onStart(read.batch, read.further));
    else entry.refuse(read.detail);
  };
  return (
    <section class="part batch" aria-labelledby="h-batch">
      <header>
        <h2 id="h-batch">What is in this keg?</h2>
        <p class="note">Only the name must be given. What you know besides makes the answer surer.</p>
      </header>
      <form onSubmit={submit}>
        <BeerFields fields={fields} set={set} defaults={defaults} />
        <WindowFields fields={fields} set={set} defaults={defaults} />
        <div class="doing">
          <button class="btn main" type="submit" disabled={entry.busy}>
            This is in the keg
          </button>
        </div>
        <Trouble trouble={entry.trouble} />
      </form>
    </section>
  );
}

interface Part {
  readonly fields: BatchFields;
  readonly set: (change: Partial<BatchFields>) => void;
  readonly defaults: Defaults;
}

function BeerFields({ fields, set, defaults: { units } }: Part) {
  return (
    <div class="fields">
      <TextField label="Name of the beer" value={fields.name} required onValue={(name) => set({ name })} />
      <TextField label="Style" value={fields.style} placeholder="pale ale" onValue={(style) => set({ style })} />
      <NumberField
        label="Alcohol, % by volume"
        value={fields.abv}
        hint="Tells where it freezes"
        onValue={(abv) => set({ abv })}
      />
      <TimeField label="Filled at" value={fields.at} onValue={(at) => set({ at })} />
      <NumberField
        label={`Keg holds, ${volumeUnit(units)} to the brim`}
        value={fields.total}
        onValue={(total) => set({ total })}
      />
      <NumberField
        label={`Beer in it, ${volumeUnit(units)}`}
        value={fields.beer}
        hint="Empty: nearly full"
        onValue={(beer) => set({ beer })}
      />
      <NumberField
        label={`Its temperature then, ${temperatureUnit(units)}`}
        value={fields.temperature}
        onValue={(temperature) => set({ temperature })}
      />
      <SelectField
        label="The beer was then"
        value={fields.beerState}
        choices={[
          ['flat', 'flat'],
          ['carbonated', 'carbonated already'],
          ['priming', 'with priming sugar'],
          ['unknown', 'I don’t know'],
        ]}
        onValue={(beerState) => set({ beerState: BEER_STATES.find((state) => state === beerState) ?? 'unknown' })}
      />
      <SelectField
        label="Gas since then"
        value={fields.gas}
        choices={[
          ['opened', 'open'],
          ['closed', 'closed'],
          ['unknown', 'I don’t know'],
        ]}
        onValue={(gas) => set({ gas: gas === 'opened' || gas === 'closed' ? gas : 'unknown' })}
      />
      <NumberField
        label="Headspace purged, times"
        value={fields.purges}
        hint="0: never. Empty: not known"
        onValue={(purges) => set({ purges })}
      />
    </div>
  );
}

const BEER_STATES = ['flat', 'carbonated', 'priming'] as const;

function WindowFields({ fields, set, defaults: { units } }: Part) {
  const unit = carbonationUnit(units);
  return (
    <>
      <h3 class="sub">Its window</h3>
      <div class="fields">
        <NumberField
          label={`Carbonation from, ${unit}`}
          value={fields.windowFrom}
          onValue={(windowFrom) => set({ windowFrom })}
        />
        <NumberField label={`to, ${unit}`} value={fields.windowTo} onValue={(windowTo) => set({ windowTo })} />
        <NumberField
          label={`Fill bottles at, ${temperatureUnit(units)}`}
          value={fields.fillAt}
          hint="Or colder"
          onValue={(fillAt) => set({ fillAt })}
        />
      </div>
    </>
  );
}
