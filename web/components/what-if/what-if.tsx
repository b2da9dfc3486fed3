import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { KegState } from '../../../src/contract/state.ts';
import type { WhatIfRequest } from '../../../src/contract/what-if.ts';
import { pressure, pressureUnit, temperature, temperatureUnit } from '../../format/numbers.ts';
import { FREEZING_MARGIN_C, freezingC } from '../carbonation-map/geometry.ts';
import { NumberField } from '../form/field.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
import { fieldsOf, ofPressure, readWhatIf, stepped, type WhatIfField, type WhatIfFields } from './entry.ts';
import { Forecast } from './forecast.tsx';
import { type AskWhatIf, useWhatIf } from './use-what-if.ts';
import './what-if.css';
import { endSentence, passingSentence, windowSentence } from './words.ts';

export interface WhatIfProps {
  readonly keg: KegState;
  readonly units: Units;
  readonly zone: string;
  /** Stamped on the keg (kPa gauge); null if it was not entered. */
  readonly workingKpaGaugeMax: number | null;
  readonly ask: AskWhatIf;
}

/** Another temperature or pressure for some hours: what would become of the beer. Nothing is changed by asking. */
export function WhatIf({ keg, units, zone, workingKpaGaugeMax, ask }: WhatIfProps) {
  const [fields, setFields] = useState<WhatIfFields>(() => fieldsOf(keg, units));
  const request = readWhatIf(keg.kegId, fields, units);
  const { answer, trouble, waiting } = useWhatIf(request, ask);
  const advised = keg.advisedKpaGauge;
  const caution = request === null ? null : cautionOf(request, keg, workingKpaGaugeMax, units);
  const set = (change: Partial<WhatIfFields>): void => setFields({ ...fields, ...change });
  return (
    <div class="what-if-parts">
      <div>
        <p>If the beer were left like this from now on. Asking changes nothing.</p>
        <Stepped
          name="temperature"
          label={`Beer, ${temperatureUnit(units)}`}
          {...{ fields, units, setFields }}
          wrong={wrongAt(trouble, '/beerTemperatureC', (value) => temperature(value, units))}
        />
        <Stepped
          name="pressure"
          label={`Pressure in the keg, ${pressureUnit(units)}`}
          {...{ fields, units, setFields }}
          wrong={wrongAt(trouble, '/headspaceKpaGauge', (value) => pressure(value, units))}
        />
        <Stepped
          name="hours"
          label="For how long, h"
          {...{ fields, units, setFields }}
          wrong={wrongAt(trouble, '/hours', (value) => `${value} h`)}
        />
        {advised !== null && ofPressure(advised, units) !== fields.pressure && (
          <button class="btn plain" type="button" onClick={() => set({ pressure: ofPressure(advised, units) })}>
            Try the advised {pressure(advised, units)}
          </button>
        )}
        {caution !== null && <p class="trouble">{caution}</p>}
        <Trouble trouble={trouble} labels={LABELS} />
      </div>
      <div class={waiting || trouble !== null || request === null ? 'told soft' : 'told'}>
        {answer === null ? (
          <p class="note waiting">{trouble === null ? 'Asking what would become of it.' : ''}</p>
        ) : (
          <>
            {/* The service says the same in spans of time; here a clock hangs on the wall. */}
            <p class="lead">{windowSentence(answer, zone)}</p>
            <p>
              {endSentence(answer, units)} {passingSentence(answer, zone)}
            </p>
            <Forecast answer={answer} units={units} zone={zone} />
          </>
        )}
      </div>
    </div>
  );
}

const LABELS = { '/beerTemperatureC': 'Beer', '/headspaceKpaGauge': 'Pressure in the keg', '/hours': 'For how long' };

/** What must not be tried for real, whatever the curve says. */
function cautionOf(
  { beerTemperatureC, headspaceKpaGauge }: WhatIfRequest,
  { abvPercent }: KegState,
  workingKpaGaugeMax: number | null,
  units: Units,
): string | null {
  const freezes = freezingC(abvPercent);
  if (beerTemperatureC < freezes + FREEZING_MARGIN_C) {
    return `Too cold to do: this beer freezes at about ${temperature(freezes, units)}, and ice harms keg and beer.`;
  }
  if (workingKpaGaugeMax !== null && headspaceKpaGauge > workingKpaGaugeMax) {
    return `Never do this: ${pressure(workingKpaGaugeMax, units)} is the most that is stamped on the keg.`;
  }
  return null;
}

interface SteppedProps {
  readonly name: WhatIfField;
  readonly label: string;
  readonly fields: WhatIfFields;
  readonly units: Units;
  readonly wrong: string | undefined;
  readonly setFields: (fields: WhatIfFields) => void;
}

/** A number with − and + beside it, for thumbs. */
function Stepped({ name, label, fields, units, wrong, setFields }: SteppedProps) {
  const step = (by: 1 | -1): void => setFields(stepped(fields, name, by, units));
  return (
    <div class="stepped">
      <NumberField
        label={label}
        value={fields[name]}
        wrong={fields[name].trim() === '' ? 'Give a number, such as 4.5' : wrong}
        onValue={(value) => setFields({ ...fields, [name]: value })}
      />
      <button class="btn" type="button" aria-label={`Less: ${label}`} onClick={() => step(-1)}>
        −
      </button>
      <button class="btn" type="button" aria-label={`More: ${label}`} onClick={() => step(1)}>
        +
      </button>
    </div>
  );
}
