import { useState } from 'preact/hooks';
import type { Site, Units } from '../../../src/contract/catalogue.ts';
import { digits, pressure } from '../../format/numbers.ts';
import type { SiteEntry } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { Choice } from '../choice/choice.tsx';
import { NumberField, numberFrom, TextField } from '../form/field.tsx';
import { Keep } from '../form/keep.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { useTrouble } from '../form/use-trouble.ts';

interface Props {
  readonly site: Site;
  /** Zones to offer; empty where the device cannot list them. */
  readonly zones: readonly string[];
  /** Air pressure that a barometer tells (kPa absolute); null if none is heard. */
  readonly barometerKpaAbsolute: number | null;
  readonly onChange: (entry: SiteEntry) => Promise<Told | null>;
}

/** What 11 kPa less of CO2 leave out of beer at 2 °C, roughly. */
const FLATTER = { volumes: '0.2\u00a0volumes', 'g/L': '0.4\u00a0g/L' } as const;

/** Where the fridge stands: its altitude decides the air pressure, its zone the hours on the pages. */
export function SiteForm({ site, zones, barometerKpaAbsolute, onChange }: Props) {
  const [altitude, setAltitude] = useState(site.altitudeAssumed ? '' : digits(site.altitudeM, 0).replace('−', '-'));
  const [zone, setZone] = useState(site.timeZone);
  const entry = useEntry();
  const submit = (event: Event): void => {
    event.preventDefault();
    const metres = numberFrom(altitude);
    if (metres === null && altitude.trim() !== '') {
      entry.refuse('Give the altitude in metres above sea level, such as 240.');
      return;
    }
    const change = { timeZone: zone.trim(), ...(metres === null ? {} : { altitudeM: metres }) };
    void entry.send(() => onChange(change));
  };
  return (
    <section class="part" aria-labelledby="h-site">
      <header>
        <h2 id="h-site">Where the fridge stands</h2>
      </header>
      <form onSubmit={submit}>
        <div class="fields">
          <NumberField
            label="Altitude, m above sea level"
            value={altitude}
            wrong={wrongAt(entry.trouble, '/altitudeM', (value) => `${value} m`)}
            hint={altitudeHint(site, barometerKpaAbsolute !== null)}
            onValue={setAltitude}
          />
          <TextField
            label="Time zone"
            value={zone}
            hint="Such as Europe/Vienna"
            list="zones"
            wrong={wrongAt(entry.trouble, '/timeZone')}
            onValue={setZone}
          />
          <datalist id="zones">
            {zones.map((name) => (
              <option key={name} value={name} />
            ))}
          </datalist>
        </div>
        {barometerKpaAbsolute !== null && (
          <p class="note why">
            A barometer is heard and decides the air pressure now: {pressure(barometerKpaAbsolute, site.units)}. The
            altitude only stands in when the barometer is silent.
          </p>
        )}
        {site.altitudeAssumed && barometerKpaAbsolute === null && (
          <p class="note why">
            At 1,000 m the air presses about {pressure(11, site.units)} less than at the sea, and the same gauge reading
            leaves the beer flatter by about {FLATTER[site.units.carbonation]}. So set it, or give Quietkeg a barometer.
          </p>
        )}
        <Keep entry={entry} labels={LABELS} main />
      </form>
    </section>
  );
}

function altitudeHint(site: Site, hasBarometer: boolean): string {
  if (site.altitudeAssumed) return 'Not set: sea level is assumed';
  return hasBarometer ? 'For when the barometer is silent' : 'Decides the air pressure';
}

/** Fields that say themselves what the service refused of them. */
const LABELS = { '/altitudeM': 'Altitude', '/timeZone': 'Time zone' } as const;

/** Units for everyone who looks at this fridge. They are kept with the site. */
export function UnitsForm({ units, onChange }: { readonly units: Units; readonly onChange: Props['onChange'] }) {
  const [trouble, setTrouble] = useTrouble();
  // All units go along: the service takes a unit that is left out for its default.
  const choose = (change: Partial<Units>): void => void onChange({ units: { ...units, ...change } }).then(setTrouble);
  return (
    <section class="part units" aria-labelledby="h-units">
      <header>
        <h2 id="h-units">Units</h2>
        <p class="note">for everyone who looks at this fridge</p>
      </header>
      <Choice
        label="Temperature"
        value={units.temperature}
        choices={[
          ['Cel', '°C'],
          ['[degF]', '°F'],
        ]}
        onChoose={(temperature) => choose({ temperature })}
      />
      <Choice
        label="Pressure"
        value={units.pressure}
        choices={[
          ['kPa', 'kPa'],
          ['bar', 'bar'],
          ['[psi]', 'psi'],
        ]}
        onChoose={(pressure) => choose({ pressure })}
      />
      <Choice
        label="Carbonation"
        value={units.carbonation}
        choices={[
          ['volumes', 'volumes'],
          ['g/L', 'g/L'],
        ]}
        onChoose={(carbonation) => choose({ carbonation })}
      />
      <Choice
        label="Beer"
        value={units.volume}
        choices={[
          ['L', 'litres'],
          ['[gal_us]', 'US gallons'],
        ]}
        onChoose={(volume) => choose({ volume })}
      />
      <Trouble trouble={trouble} />
    </section>
  );
}
