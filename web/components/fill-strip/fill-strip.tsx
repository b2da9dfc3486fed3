import type { Units } from '../../../src/contract/catalogue.ts';
import type { Input, KegState } from '../../../src/contract/state.ts';
import { carbonationNumber, carbonationUnit, digits, pressure, temperature, volume } from '../../format/numbers.ts';
import { clockTime } from '../../format/times.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { pathOfKeg } from '../../store/routes.ts';
import { Age, Value } from '../age/age.tsx';
import { StateWord } from '../sign/state-word.tsx';
import './fill-strip.css';

interface Props {
  readonly keg: KegState;
  readonly units: Units;
  readonly oldSinceMs: number | null;
  readonly leftL: number | null;
  /** CO2 used so far by reckoning (g); null before a fill. */
  readonly usedGrams: number | null;
}

/** The live verdict and what it rests on, in one strip at the top of the fill page. */
export function FillStrip({ keg, units, oldSinceMs, leftL, usedGrams }: Props) {
  const kind = oldSinceMs === null ? keg.verdict.kind : 'unknown';
  const old = oldSinceMs !== null;
  const beer = inputOf(keg.inputs, 'beer-temperature');
  const headspace = inputOf(keg.inputs, 'headspace-pressure');
  const facts: readonly (readonly [string, string, Input | null] | null)[] = [
    keg.dissolved === null ? null : [carbonationUnit(units), carbonationNumber(keg.dissolved.volumes, units), beer],
    keg.beerTemperatureC === null ? null : ['beer', temperature(keg.beerTemperatureC, units), beer],
    keg.headspaceKpaGauge === null ? null : ['keg', pressure(keg.headspaceKpaGauge, units), headspace],
  ];
  return (
    <header class={`strip is-${kind}`}>
      <StateWord kind={kind} />
      <dl>
        {facts.map(
          (fact) =>
            fact !== null && (
              <div key={fact[0]}>
                <dt>{fact[0]}</dt>
                <dd>
                  <Value text={fact[1]} input={fact[2]} old={old} />
                </dd>
              </div>
            ),
        )}
      </dl>
      <p class="age">
        <a href={pathOfKeg(keg.kegId)}>
          ‹ {keg.batchName ?? keg.name}
          {!old && `, since ${clockTime(Date.parse(keg.verdict.since), serviceMinute.value, zone.value)}`}
        </a>
        <span>
          heard <Age input={headspace ?? beer} old={old} />
        </span>
      </p>
      <p class="age">
        <span>{leftL === null ? '' : `${volume(Math.max(0, leftL), units)} of beer left`}</span>
        <span>{gasWords(keg.inputs, usedGrams)}</span>
      </p>
    </header>
  );
}

const inputOf = (inputs: readonly Input[], quantity: Input['quantity']): Input | null =>
  inputs.find((input) => input.quantity === quantity) ?? null;

/** A scale under the cylinder is believed, else what was used is reckoned. */
function gasWords(inputs: readonly Input[], usedGrams: number | null): string {
  const cylinder = inputOf(inputs, 'cylinder-mass');
  if (cylinder !== null && cylinder.state !== 'stale') return `${digits(cylinder.value, 2)}\u00a0kg of gas left`;
  return usedGrams === null ? '' : `about ${digits(usedGrams, 0)}\u00a0g of gas used`;
}
