import { useState } from 'preact/hooks';
import type { Keg, Place, Supply, Units } from '../../../src/contract/catalogue.ts';
import {
  digits,
  pressure,
  pressureFromKpa,
  pressureToKpa,
  pressureUnit,
  volume,
  volumeFromL,
  volumeToL,
  volumeUnit,
} from '../../format/numbers.ts';
import type { KegEntry } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { isWrongNumber, NumberField, numberFrom, SelectField, TextField } from '../form/field.tsx';
import { Keep } from '../form/keep.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { useTrouble } from '../form/use-trouble.ts';

interface Props {
  readonly keg: Keg;
  readonly units: Units;
  readonly places: readonly Place[];
  readonly supplies: readonly Supply[];
  readonly onChange: (entry: KegEntry) => Promise<Told | null>;
  readonly onRemove: () => Promise<Told | null>;
}

interface Fields {
  readonly name: string;
  readonly capacity: string;
  readonly diameter: string;
  readonly working: string;
  readonly placeId: string;
  readonly supplyId: string;
}

/** The vessel: its name and size, and where it stands. */
export function KegForm(props: Props) {
  const { keg, units, onChange } = props;
  const [fields, setFields] = useState<Fields>(() => fieldsOf(keg, units));
  const entry = useEntry();
  const set = (change: Partial<Fields>): void => setFields({ ...fields, ...change });
  const submit = (event: Event): void => {
    event.preventDefault();
    const read = readFields(fields, units);
    if (typeof read === 'string') entry.refuse(read);
    else void entry.send(() => onChange(read));
  };
  return (
    <section class="part details" aria-labelledby="h-details">
      <header>
        <h2 id="h-details">The keg itself</h2>
        <p class="note">
          topic <code>probes/{keg.kegId}/…</code>
        </p>
      </header>
      <form onSubmit={submit}>
        <div class="fields">
          <KegFields {...props} fields={fields} set={set} trouble={entry.trouble} />
        </div>
        <Keep entry={entry} labels={LABELS}>
          <Remove onRemove={props.onRemove} name={keg.name} />
        </Keep>
      </form>
    </section>
  );
}

/** Fields that say themselves what the service refused of them. */
const LABELS = {
  '/name': 'Name',
  '/capacityL': 'Size',
  '/diameterMetres': 'Inner diameter',
  '/workingKpaGaugeMax': 'Working pressure at most',
} as const;

function KegFields({
  fields,
  set,
  trouble,
  units,
  places,
  supplies,
}: Props & {
  readonly fields: Fields;
  readonly set: (change: Partial<Fields>) => void;
  readonly trouble: Told | null;
}) {
  return (
    <>
      <TextField
        label="Name"
        value={fields.name}
        required
        wrong={wrongAt(trouble, '/name')}
        onValue={(name) => set({ name })}
      />
      <NumberField
        label={`Size, ${volumeUnit(units)}`}
        value={fields.capacity}
        wrong={wrongAt(trouble, '/capacityL', (value) => volume(value, units))}
        required
        onValue={(capacity) => set({ capacity })}
      />
      <NumberField
        label="Inner diameter, cm"
        value={fields.diameter}
        hint="Tells how fast it takes up gas"
        wrong={wrongAt(trouble, '/diameterMetres', (value) => `${digits(value * 100, 0)} cm`)}
        onValue={(diameter) => set({ diameter })}
      />
      <NumberField
        label={`Working pressure at most, ${pressureUnit(units)}`}
        value={fields.working}
        hint="Stamped on the keg"
        wrong={wrongAt(trouble, '/workingKpaGaugeMax', (value) => pressure(value, units))}
        onValue={(working) => set({ working })}
      />
      {places.length > 1 && (
        <SelectField
          label="Stands in"
          value={fields.placeId}
          choices={places.map((place) => [place.placeId, place.name])}
          onValue={(placeId) => set({ placeId })}
        />
      )}
      {supplies.length > 1 && (
        <SelectField
          label="On the gas"
          value={fields.supplyId}
          choices={supplies.map((supply) => [supply.supplyId, supply.name])}
          onValue={(supplyId) => set({ supplyId })}
        />
      )}
    </>
  );
}

function Remove({ onRemove, name }: { readonly onRemove: () => Promise<Told | null>; readonly name: string }) {
  const [asked, setAsked] = useState(false);
  const [trouble, setTrouble] = useTrouble();
  if (!asked) {
    return (
      <button class="btn plain" type="button" onClick={() => setAsked(true)}>
        Remove this keg
      </button>
    );
  }
  return (
    <>
      <button class="btn" type="button" onClick={() => void onRemove().then(setTrouble)}>
        Yes, remove {name}
      </button>
      <button class="btn plain" type="button" onClick={() => setAsked(false)}>
        Keep it
      </button>
      <Trouble trouble={trouble} />
    </>
  );
}

function fieldsOf(keg: Keg, units: Units): Fields {
  const places = units.pressure === 'bar' ? 2 : 0;
  return {
    name: keg.name,
    capacity: digits(volumeFromL(keg.capacityL, units), 1),
    diameter: keg.diameterMetres === null ? '' : digits(keg.diameterMetres * 100, 1),
    working: keg.workingKpaGaugeMax === null ? '' : digits(pressureFromKpa(keg.workingKpaGaugeMax, units), places),
    placeId: keg.placeId,
    supplyId: keg.supplyId,
  };
}

function readFields(fields: Fields, units: Units): KegEntry | string {
  if ([fields.capacity, fields.diameter, fields.working].some(isWrongNumber)) {
    return 'One of the numbers is none. Correct the marked field.';
  }
  const capacity = numberFrom(fields.capacity);
  if (fields.name.trim() === '' || capacity === null) return 'A keg has a name and a size.';
  const diameter = numberFrom(fields.diameter);
  const working = numberFrom(fields.working);
  return {
    name: fields.name.trim(),
    capacityL: volumeToL(capacity, units),
    diameterMetres: diameter === null ? null : diameter / 100,
    workingKpaGaugeMax: working === null ? null : pressureToKpa(working, units),
    placeId: fields.placeId,
    supplyId: fields.supplyId,
  };
}
