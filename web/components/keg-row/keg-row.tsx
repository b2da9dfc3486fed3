import type { Units } from '../../../src/contract/catalogue.ts';
import type { KegState } from '../../../src/contract/state.ts';
import { pressure, temperature } from '../../format/numbers.ts';
import { outlookLine } from '../../format/outlook.ts';
import { clockTime } from '../../format/times.ts';
import { byWeight, NOTICE_ACTS, NOTICE_LINE, VERDICT_WAS, withoutStop } from '../../format/words.ts';
import { inputOf, oldestOf } from '../../store/ageing.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { pathOfKeg } from '../../store/routes.ts';
import { Age, Value } from '../age/age.tsx';
import { StateWord } from '../sign/state-word.tsx';
import { Way } from '../way/way.tsx';
import './keg-row.css';

interface Props {
  readonly keg: KegState;
  readonly units: Units;
  readonly placeName: string;
  /** Set when the values may not be believed: when they were last heard (service time). */
  readonly oldSinceMs: number | null;
  readonly ambient: boolean;
}

/** One keg on the page `now`: the verdict in words left, its way to the window right. */
export function KegRow({ keg, units, placeName, oldSinceMs, ambient }: Props) {
  const old = oldSinceMs !== null;
  const kind = old ? 'unknown' : keg.verdict.kind;
  const outlook = keg.dissolved === null ? '' : outlookLine(keg, serviceMinute.value, zone.value);
  const [noticed] = byWeight(keg.notices);
  const lastAt = old ? clockTime(oldSinceMs, serviceMinute.value, zone.value) : '';
  return (
    <li class={`keg is-${kind}`}>
      <a class="who" href={pathOfKeg(keg.kegId)}>
        <StateWord kind={kind} />
        <KegName keg={keg} placeName={placeName} />
        {old ? (
          <p class="do soft">
            {VERDICT_WAS[keg.verdict.kind]} at {lastAt}. <Values keg={keg} units={units} old />
          </p>
        ) : (
          <>
            <p class={`do${kind === 'act' ? ' slip' : ''}`}>
              {kind === 'act' ? withoutStop(keg.verdict.headline) : keg.verdict.headline}
            </p>
            {noticed !== undefined && (
              <p class={NOTICE_ACTS.has(noticed.name) ? 'noticed is-act' : 'noticed'}>{NOTICE_LINE[noticed.name]}.</p>
            )}
            <p class="note">
              {outlook !== '' && <span class="outlook">{outlook} </span>}
              {/* Seen from afar one line must do: when it will be right, else how it is. */}
              {ambient && outlook !== '' ? (
                <Age input={oldestOf(keg.inputs, ['beer-temperature', 'headspace-pressure'])} />
              ) : (
                <Values keg={keg} units={units} old={false} />
              )}
            </p>
          </>
        )}
      </a>
      <Way
        units={units}
        low={keg.target.low}
        high={keg.target.high}
        dissolved={keg.dissolved}
        equilibriumVolumes={keg.equilibriumVolumes}
        old={old}
        lastAt={`last at ${lastAt}`}
        ambient={ambient}
        act={kind === 'act'}
      />
    </li>
  );
}

function KegName({ keg, placeName }: { readonly keg: KegState; readonly placeName: string }) {
  const where = keg.batchName === null ? placeName : keg.name;
  const facts = [keg.style, where].filter((text) => text !== null && text !== '').join(', ');
  return (
    <p class="name">
      <b>{keg.batchName ?? keg.name}</b> <span class="soft">{facts}</span>
    </p>
  );
}

/** Temperature, pressure and their age; a value that is stale is struck and says when it was heard. */
export function Values({
  keg,
  units,
  old,
}: {
  readonly keg: Pick<KegState, 'beerTemperatureC' | 'headspaceKpaGauge' | 'inputs'>;
  readonly units: Units;
  readonly old: boolean;
}) {
  const beer = inputOf(keg.inputs, 'beer-temperature');
  const headspace = inputOf(keg.inputs, 'headspace-pressure');
  const oldest = oldestOf(keg.inputs, ['beer-temperature', 'headspace-pressure']);
  if (keg.beerTemperatureC === null && keg.headspaceKpaGauge === null) return <>Nothing heard yet</>;
  return (
    <>
      {keg.beerTemperatureC === null ? (
        'temperature not heard'
      ) : (
        <Value text={temperature(keg.beerTemperatureC, units)} input={beer} old={old} />
      )}
      {', '}
      {keg.headspaceKpaGauge === null ? (
        'pressure not heard'
      ) : (
        <Value text={pressure(keg.headspaceKpaGauge, units)} input={headspace} old={old} />
      )}
      {!old && (
        <>
          {', '}
          <Age input={oldest} />
        </>
      )}
    </>
  );
}
