import type { KegState, VerdictKind } from '../../src/contract/state.ts';
import { FirstSteps } from '../components/first-steps/first-steps.tsx';
import { KegRow } from '../components/keg-row/keg-row.tsx';
import { Suggestion } from '../components/suggestion/suggestion.tsx';
import { dayAndHour } from '../format/times.ts';
import { listed, NOTICE_ACTS, needSentence } from '../format/words.ts';
import { addKeg } from '../store/actions.ts';
import { clockAheadMs, serviceMinute } from '../store/clock.ts';
import { heard, places, units, view, zone } from '../store/dashboard.ts';
import { orderKegs } from '../store/ordering.ts';
import './now.css';

/** All kegs at a glance: who needs someone, and where each stands to its window. */
export function NowPage() {
  const { kegs, known } = view.value;
  const hearing = heard.value;
  if (!known)
    return <p class="loading">{hearing.kind === 'old' && hearing.said ? '' : 'Asking what was last heard.'}</p>;
  const mine = orderKegs(
    kegs.filter((keg) => keg.adopted),
    places.value.map((place) => place.placeId),
  );
  const suggested = kegs.filter((keg) => !keg.adopted);
  if (mine.length === 0 && suggested.length === 0) return <FirstSteps />;
  const old = hearing.kind === 'old';
  const oldSinceMs = old ? (hearing.sinceMs ?? 0) + clockAheadMs.value : null;
  const ambient = !old && mine.length > 0 && suggested.length === 0 && mine.every(isWell);
  return (
    <div class={`now${ambient ? ' ambient' : ''}`}>
      {old ? <h1 class="aside">All kegs, as last heard</h1> : <Say kegs={mine} />}
      {mine.length > 0 && (
        <ul class="kegs">
          {mine.map((keg) => (
            <KegRow
              key={keg.kegId}
              keg={keg}
              units={units.value}
              placeName={placeName(keg.placeId)}
              oldSinceMs={oldSinceMs}
              ambient={ambient}
            />
          ))}
        </ul>
      )}
      {suggested.length > 0 && (
        <ul class="suggestions">
          {suggested.map((keg) => (
            <Suggestion key={keg.kegId} keg={keg} units={units.value} old={old} onAdd={addKeg} />
          ))}
        </ul>
      )}
      {!ambient && mine.length > 0 && <Foot estimated={mine.some((keg) => keg.dissolved !== null)} />}
    </div>
  );
}

/** A keg in which something was noticed that somebody must see to needs one, whatever its beer. */
const need = (keg: KegState): VerdictKind =>
  keg.notices.some(({ name }) => NOTICE_ACTS.has(name)) ? 'act' : keg.verdict.kind;

const isWell = (keg: KegState): boolean => need(keg) === 'ready' || need(keg) === 'wait';

function Say({ kegs }: { readonly kegs: readonly KegState[] }) {
  const names = [...new Set(kegs.map((keg) => placeName(keg.placeId)))].filter((name) => name !== '');
  const where = names.length > 0 && names.length < 3 ? `${listed(names)}, ` : '';
  return (
    <div class="say">
      <h1>{kegs.length === 0 ? 'No keg is yours yet' : needSentence(kegs.map(need))}</h1>
      <p class="soft">
        {where}
        {dayAndHour(serviceMinute.value, zone.value)}
      </p>
    </div>
  );
}

function Foot({ estimated }: { readonly estimated: boolean }) {
  return (
    <div class="foot note">
      <p>
        The upright lines are each beer’s window: the carbonation you want, in{' '}
        {units.value.carbonation === 'volumes' ? 'volumes of CO2' : 'grams of CO2 in a litre (g/L)'}.
      </p>
      {estimated ? (
        <p>The solid lens is what is in the beer now, nine times in ten: the longer it is, the less sure.</p>
      ) : (
        <p>
          The outlined lens is what the beer is heading for at this temperature and pressure, not what is in it yet.
        </p>
      )}
    </div>
  );
}

const placeName = (placeId: string): string => places.value.find((place) => place.placeId === placeId)?.name ?? '';
