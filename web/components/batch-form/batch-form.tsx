import { useState } from 'preact/hooks';
import {
  carbonation,
  carbonationUnit,
  temperature,
  temperatureUnit,
  volume,
  volumeUnit,
} from '../../format/numbers.ts';
import type { NewBatch, NewEvent } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { NumberField, SelectField, TextField, TimeField } from '../form/field.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
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
        <BeerFields fields={fields} set={set} defaults={defaults} trouble={entry.trouble} />
        <WindowFields fields={fields} set={set} defaults={defaults} trouble={entry.trouble} />
        <div class="doing">
          <button class="btn main" type="submit" disabled={entry.busy}>
            This is in the keg
          </button>
        </div>
        <Trouble trouble={entry.trouble} labels={LABELS} />
      </form>
    </section>
  );
}

interface Part {
  readonly fields: BatchFields;
  readonly set: (change: Partial<BatchFields>) => void;
  readonly defaults: Defaults;
  readonly trouble: Told | null;
}

/** Fields that say themselves what the service refused of them, by the pointers of what is sent. */
const LABELS = {
  '/name': 'Name of the beer',
  '/style': 'Style',
  '/abvPercent': 'Alcohol',
  '/at': 'Filled at',
  '/totalLitres': 'Keg holds',
  '/beerLitres': 'Beer in it',
  '/beerCelsius': 'Its temperature then',
  '/times': 'Headspace purged',
  '/volumes': 'Carbonation from',
  '/tolerance': 'Carbonation to',
  '/celsius': 'Fill bottles at',
} as const;

function BeerFields({ fields, set, defaults: { units }, trouble }: Part) {
  const litres = (value: number): string => volume(value, units);
  return (
    <div class="fields">
      <TextField
        label="Name of the beer"
        value={fields.name}
        required
        wrong={wrongAt(trouble, '/name')}
        onValue={(name) => set({ name })}
      />
      <TextField
        label="Style"
        value={fields.style}
        placeholder="pale ale"
        wrong={wrongAt(trouble, '/style')}
        onValue={(style) => set({ style })}
      />
      <NumberField
        label="Alcohol, % by volume"
        value={fields.abv}
        hint="Tells where it freezes"
        wrong={wrongAt(trouble, '/abvPercent', (value) => `${value} %`)}
        onValue={(abv) => set({ abv })}
      />
      <TimeField label="Filled at" value={fields.at} wrong={wrongAt(trouble, '/at')} onValue={(at) => set({ at })} />
      <NumberField
        label={`Keg holds, ${volumeUnit(units)} to the brim`}
        value={fields.total}
        wrong={wrongAt(trouble, '/totalLitres', litres)}
        onValue={(total) => set({ total })}
      />
      <NumberField
        label={`Beer in it, ${volumeUnit(units)}`}
        value={fields.beer}
        hint="Empty: nearly full"
        wrong={wrongAt(trouble, '/beerLitres', litres)}
        onValue={(beer) => set({ beer })}
      />
      <NumberField
        label={`Its temperature then, ${temperatureUnit(units)}`}
        value={fields.temperature}
        wrong={wrongAt(trouble, '/beerCelsius', (value) => temperature(value, units))}
        onValue={(degrees) => set({ temperature: degrees })}
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
        wrong={wrongAt(trouble, '/times')}
        onValue={(purges) => set({ purges })}
      />
    </div>
  );
}

const BEER_STATES = ['flat', 'carbonated', 'priming'] as const;

function WindowFields({ fields, set, defaults: { units }, trouble }: Part) {
  const unit = carbonationUnit(units);
  return (
    <>
      <h3 class="sub">Its window</h3>
      <div class="fields">
        <NumberField
          label={`Carbonation from, ${unit}`}
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
          hint="Or colder"
          wrong={wrongAt(trouble, '/celsius', (value) => temperature(value, units))}
          onValue={(fillAt) => set({ fillAt })}
        />
      </div>
    </>
  );
}
