import type { Units } from '../../../src/contract/catalogue.ts';
import type { KegState } from '../../../src/contract/state.ts';
import { carbonation } from '../../format/numbers.ts';
import { bandText, outlookSentences, standing } from '../../format/outlook.ts';
import { clockTime } from '../../format/times.ts';
import { oldestOf } from '../../store/ageing.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { gasCheckPathOf } from '../../store/routes.ts';
import { Age } from '../age/age.tsx';
import { Way } from '../way/way.tsx';
import './in-the-beer.css';

interface Props {
  readonly keg: KegState;
  readonly units: Units;
  /** Set when the values may not be believed: when they were last heard (service time). */
  readonly oldSinceMs: number | null;
}

/** What is in the beer now, how sure that is, and when it will be right: on a keg's own page. */
export function InTheBeer({ keg, units, oldSinceMs }: Props) {
  const { dissolved, target } = keg;
  if (dissolved === null) return null;
  const old = oldSinceMs !== null;
  const kind = old ? 'unknown' : keg.verdict.kind;
  const lastAt = old ? `last at ${clockTime(oldSinceMs, serviceMinute.value, zone.value)}` : '';
  return (
    <section class="part beer" aria-labelledby="h-beer">
      <header>
        <h2 id="h-beer">In the beer</h2>
        <p class="note">
          <Age input={oldestOf(keg.inputs, ['beer-temperature', 'headspace-pressure'])} old={old} />
        </p>
      </header>
      <div class="beer-parts">
        <div class={`is-${kind}`}>
          <Way
            units={units}
            low={target.low}
            high={target.high}
            dissolved={dissolved}
            equilibriumVolumes={keg.equilibriumVolumes}
            old={old}
            lastAt={lastAt}
            ambient={false}
            act={kind === 'act'}
          />
        </div>
        <div class="beer-says">
          {!old && (
            <>
              <p>
                Likely <b class="nums">{carbonation(dissolved.volumes, units)}</b>, nine times in ten{' '}
                {bandText(dissolved, units)}: {standing(dissolved, target)}.
              </p>
              {outlookSentences(keg, serviceMinute.value, zone.value).map((sentence) => (
                <p key={sentence}>{sentence}</p>
              ))}
            </>
          )}
          <p class="note">
            The longer the lens, the less sure: in nine of ten cases the truth lies within it. The number is what a
            carbonation chart says, and an instrument that shakes a sample and reads its pressure.
          </p>
          {!old && keg.gasCheck === null && (
            <a class="btn" href={gasCheckPathOf(keg.kegId)}>
              Make a gas check
            </a>
          )}
        </div>
      </div>
    </section>
  );
}
