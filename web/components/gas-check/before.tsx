import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { GasCheckReport } from '../../../src/contract/gas-check.ts';
import { pressure } from '../../format/numbers.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { Choice } from '../choice/choice.tsx';
import { Trouble } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { Expected } from './expected.tsx';
import './gas-check.css';
import { expectedRows } from './words.ts';

export interface BeforeProps {
  readonly report: Pick<GasCheckReport, 'batchId' | 'plusMinusNow' | 'expected' | 'advice'>;
  readonly units: Units;
  /** Stamped on the keg (kPa gauge); null if it was not entered. */
  readonly workingKpaGaugeMax: number | null;
  readonly onStart: (shaken: boolean) => Promise<Told | null>;
}

type Way = 'rest' | 'shaken';

/** Before a gas check: what it is for, whether it is worth it, what to do, and the start. */
export function Before({ report, units, workingKpaGaugeMax, onStart }: BeforeProps) {
  const [way, setWay] = useState<Way>('rest');
  const entry = useEntry();
  const empty = report.batchId === null;
  const steps = empty ? TIGHTNESS_STEPS : way === 'rest' ? REST_STEPS : SHAKEN_STEPS;
  return (
    <div class="gas-parts">
      <section class="part" aria-labelledby="h-steps">
        <header>
          <h2 id="h-steps">{empty ? 'Is it tight?' : 'Make one'}</h2>
        </header>
        <p class="lead">{empty ? TIGHTNESS_FOR : CHECK_FOR}</p>
        {!empty && (
          <Choice
            label="How"
            value={way}
            choices={[
              ['rest', 'Leave it at rest'],
              ['shaken', 'Shake it'],
            ]}
            onChoose={setWay}
          />
        )}
        <ol class="steps">
          {steps.map(([what, why]) => (
            <li key={what}>
              <div>
                <b>{what}</b> <span class="soft">{why}</span>
              </div>
            </li>
          ))}
        </ol>
        {!empty && way === 'shaken' && (
          <p class="lead">Do not shake in the twelve hours before a fill: shaken beer foams.</p>
        )}
        <button
          class="btn main wet"
          type="button"
          disabled={entry.busy}
          onClick={() => void entry.send(() => onStart(!empty && way === 'shaken'))}
        >
          Gas is closed: start
        </button>
        <Trouble trouble={entry.trouble} />
      </section>
      <div class="beside">
        {(report.advice !== '' || report.expected.length > 0) && (
          <section class="part" aria-labelledby="h-worth">
            <header>
              <h2 id="h-worth">How long is worth it</h2>
            </header>
            <p class="lead">{report.advice}</p>
            <Expected rows={expectedRows(report, units)} />
          </section>
        )}
        <Care stamped={workingKpaGaugeMax === null ? null : pressure(workingKpaGaugeMax, units)} />
      </div>
    </div>
  );
}

const CHECK_FOR =
  'With the gas closed, the pressure in the keg settles where the beer holds it. So it shows how much gas is in the beer, and whether the keg leaks.';
const TIGHTNESS_FOR =
  'Before beer goes in, see if the keg holds its gas. A tight keg keeps its pressure for days; a leak shows within hours.';

type Step = readonly [what: string, why: string];

const CLOSE_STEP: Step = [
  'Close the gas at this keg.',
  'If other kegs are on the same line, close the valve at the keg itself, or they feed each other.',
];

const REST_STEPS: readonly Step[] = [
  CLOSE_STEP,
  ['Leave it alone.', 'Lid on, no beer drawn, keg not moved, fridge as it is. Anything else moves the pressure too.'],
  ['Come back later.', 'This page says when it is enough. It does the beer no harm.'],
];

const SHAKEN_STEPS: readonly Step[] = [
  CLOSE_STEP,
  [
    'Rock the keg for two minutes.',
    'On the edge of its foot, where it stands. It is heavy: do not lift it, and keep hands and feet clear.',
  ],
  ['Let it rest.', 'The pressure soon stands where the beer holds it. Lid on, no beer drawn.'],
];

const TIGHTNESS_STEPS: readonly Step[] = [
  ['Put gas on the closed keg.', 'About the pressure you serve with, and never more than is stamped on the keg.'],
  ['Close the gas at this keg.', 'At the keg itself, if other kegs are on the same line.'],
  ['Leave it where the temperature stays the same.', 'Gas that cools loses pressure without any leak.'],
];

/** The dangers of this work, and who knows better. */
function Care({ stamped }: { readonly stamped: string | null }) {
  return (
    <section class="part" aria-labelledby="h-care">
      <header>
        <h2 id="h-care">Take care</h2>
      </header>
      <ul class="care">
        <li>
          CO2 has no smell, gathers at the floor and suffocates. In a closed room or cellar open door and window before
          you work, and leave if you feel short of breath.
        </li>
        <li>
          Never put more pressure on the keg than is stamped on it{stamped !== null && `: ${stamped}`}. Vent it before
          you open the lid.
        </li>
        <li>Where local codes or qualified people say otherwise, they are right.</li>
      </ul>
    </section>
  );
}
