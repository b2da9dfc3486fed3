import type { Units } from '../../../src/contract/catalogue.ts';
import type { Afterwards } from '../../../src/contract/fill.ts';
import { carbonation, carbonationNumber, digits, pressure, temperature, volume } from '../../format/numbers.ts';
import { longDay } from '../../format/times.ts';
import { listed } from '../../format/words.ts';
import './fill-keeping.css';

interface Props {
  readonly told: Afterwards;
  readonly units: Units;
  readonly zone: string;
}

/** How to keep bottles that were filled from a keg, what to do for longer, and the keg's way back to serving. */
export function FillKeeping({ told, units, zone }: Props) {
  const { inBottle, pressures, conditioning, keg } = told;
  return (
    <>
      <section class="part" aria-labelledby="h-keeping">
        <header>
          <h2 id="h-keeping">How to keep them</h2>
          {told.drinkBy !== null && <p class="note">drink by {longDay(Date.parse(told.drinkBy), zone)}</p>}
        </header>
        <ul class="keeping">
          {told.storing.map(({ text, source }) => (
            <li key={text}>
              {text} <span class="note">{source === null ? 'Common practice, no source.' : `Source: ${source}.`}</span>
            </li>
          ))}
          {inBottle !== null && (
            <li>
              In the bottle: about {carbonation(inBottle.volumes, units)}, {carbonationNumber(inBottle.low, units)} to{' '}
              {carbonationNumber(inBottle.high, units)}.{' '}
              <span class="note">
                5.5 % are lost in a gentle pour: measured of one lager into a glass (Liger-Belair and Cilindre 2021);
                yours may lose more or less.
              </span>
            </li>
          )}
          {pressures.length > 0 && (
            <li>
              When it gets warm it presses, at most, with{' '}
              {listed(
                pressures.map(
                  ({ celsius, kpaGauge }) => `${pressure(kpaGauge, units)} at ${temperature(celsius, units)}`,
                ),
              )}
              .
            </li>
          )}
        </ul>
      </section>
      <section class="part" aria-labelledby="h-longer">
        <header>
          <h2 id="h-longer">To keep them longer</h2>
        </header>
        {conditioning === null ? (
          <p>What the beer holds is not known, so the sugar for bottles that are to keep cannot be told.</p>
        ) : conditioning.gramsPerL < 0.05 ? (
          <p>
            For {carbonation(conditioning.wishedVolumes, units)} the beer needs no sugar: it holds enough. Adding some
            would bring the bottles above it.
          </p>
        ) : (
          <p>
            Next time, with living yeast: {digits(conditioning.gramsPerL, 1)}&nbsp;g of table sugar a litre bring this
            beer to {carbonation(conditioning.wishedVolumes, units)}.
            {conditioning.roomKpaGauge !== null &&
              ` Such a bottle presses with ${pressure(conditioning.roomKpaGauge, units)} in a warm room.`}{' '}
            <span class="note">Stoichiometry; the beer must be fully fermented, and the glass made for it.</span>
          </p>
        )}
      </section>
      <section class="part" aria-labelledby="h-keg-back">
        <header>
          <h2 id="h-keg-back">The keg</h2>
          {keg.remainingL !== null && <p class="note">{volume(keg.remainingL, units)} left</p>}
        </header>
        <p>{keg.advice}</p>
      </section>
      <section class="part" aria-labelledby="h-care">
        <header>
          <h2 id="h-care">Take care</h2>
        </header>
        <ul class="keeping">
          {told.cautions.map((text) => (
            <li key={text}>{text}</li>
          ))}
        </ul>
      </section>
    </>
  );
}
