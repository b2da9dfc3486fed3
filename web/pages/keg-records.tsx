import { useEffect, useMemo } from 'preact/hooks';
import type { KegLearnt } from '../../src/contract/learning.ts';
import type { KegState } from '../../src/contract/state.ts';
import { BatchForm } from '../components/batch-form/batch-form.tsx';
import { EventLog } from '../components/event-log/event-log.tsx';
import { KegForm } from '../components/keg-form/keg-form.tsx';
import { KegLearning } from '../components/keg-learning/keg-learning.tsx';
import { carbonationNumber, digits, temperatureFromC } from '../format/numbers.ts';
import { changeKeg, enterEvent, removeKeg, startBatch, withdrawEvent } from '../store/actions.ts';
import { type Answer, ask, type Trouble } from '../store/api.ts';
import { serviceNow } from '../store/clock.ts';
import { places, supplies, units, zone } from '../store/dashboard.ts';
import type { KegHistory } from '../store/keg-history.ts';
import { open } from '../store/navigation.ts';
import { resource } from '../store/resource.ts';

export interface PartProps {
  readonly keg: KegState;
  readonly history: KegHistory;
}

interface UnfilledProps extends PartProps {
  /** The beer is in, so the form goes away: what was refused besides must outlive it. */
  readonly onLeftOver: (trouble: Trouble) => void;
}

/** The form that says what is in a keg. */
export function Unfilled({ keg, history, onLeftOver }: UnfilledProps) {
  // The keg's size is filled in, so the form waits for it: it must not change under the fingers.
  if (!history.recordsRead.value) return null;
  const details = history.details.value;
  const defaults = {
    nowMs: serviceNow.peek(),
    zone: zone.value,
    units: units.value,
    capacityL: details?.capacityL ?? null,
    beerC: keg.beerTemperatureC,
    target: keg.target,
  };
  return (
    <BatchForm
      key={`${units.value.temperature}-${units.value.carbonation}-${units.value.volume}`}
      defaults={defaults}
      onStart={async (batch, further) => {
        const trouble = await then(history, startBatch(keg.kegId, batch, further));
        if (trouble?.lead === undefined) return trouble;
        onLeftOver(trouble);
        return null;
      }}
    />
  );
}

/** What was done with the keg. */
export function LogPart({ keg, history }: PartProps) {
  const shown = units.value;
  const window = {
    windowFrom: carbonationNumber(keg.target.low, shown),
    windowTo: carbonationNumber(keg.target.high, shown),
    fillAt: digits(temperatureFromC(keg.target.celsius, shown), 1).replace('−', '-'),
  };
  return (
    <EventLog
      events={history.events.value}
      filledAtMs={keg.filledAt === null ? null : Date.parse(keg.filledAt)}
      units={shown}
      defaults={{
        zone: zone.value,
        nowMs: () => serviceNow.peek(),
        placeId: keg.placeId,
        supplyId: keg.supplyId,
        placeName: places.value.find((place) => place.placeId === keg.placeId)?.name ?? keg.placeId,
        supplyName: supplies.value.find((supply) => supply.supplyId === keg.supplyId)?.name ?? keg.supplyId,
        window,
      }}
      onEnter={(event) => then(history, enterEvent(keg.kegId, event))}
      onWithdraw={(eventId) => then(history, withdrawEvent(keg.kegId, eventId))}
    />
  );
}

/** The vessel itself. */
export function DetailsPart({ keg, history }: PartProps) {
  const details = history.details.value;
  if (details === null) return null;
  const shown = units.value;
  return (
    <KegForm
      key={`${shown.pressure}-${shown.volume}`}
      keg={details}
      units={shown}
      places={places.value}
      supplies={supplies.value}
      onChange={(entry) => then(history, changeKeg(keg.kegId, entry))}
      onRemove={async () => {
        const trouble = await removeKeg(keg.kegId);
        if (trouble === null) open('/');
        return trouble;
      }}
    />
  );
}

/** What earlier beers taught of the keg; nothing while there is nothing. */
export function LearningPart({ keg }: { readonly keg: KegState }) {
  const path = `/kegs/${encodeURIComponent(keg.kegId)}/learning`;
  const read = useMemo(() => resource<KegLearnt>(path), [path]);
  useEffect(() => void read.load(), [read, keg.batchId]);
  const learnt = read.value.value?.learnt ?? null;
  if (learnt === null) return null;
  return (
    <KegLearning
      learnt={learnt}
      zone={zone.value}
      onForget={async () => {
        const answer = await ask<null>('DELETE', path);
        if (answer.ok) await read.load();
        return answer.ok ? null : answer.trouble;
      }}
    />
  );
}

/** Reads the keg's records again once a change was taken. */
export async function then(history: KegHistory, change: Promise<Trouble | null>): Promise<Trouble | null> {
  const trouble = await change;
  history.reload();
  return trouble;
}

/** The same for a change whose content matters. */
export async function thenKept<T>(history: KegHistory, change: Promise<Answer<T>>): Promise<Answer<T>> {
  const answer = await change;
  history.reload();
  return answer;
}
