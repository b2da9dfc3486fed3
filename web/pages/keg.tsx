import { useEffect, useMemo } from 'preact/hooks';
import type { KegState } from '../../src/contract/state.ts';
import { BatchForm } from '../components/batch-form/batch-form.tsx';
import { CarbonationMap } from '../components/carbonation-map/carbonation-map.tsx';
import { closedIntervals, type TrailPoint } from '../components/carbonation-map/geometry.ts';
import { Checks } from '../components/checks/checks.tsx';
import { CurvePanel } from '../components/curve-panel/curve-panel.tsx';
import { type CurveColumns, readCurve } from '../components/curve-panel/read-curve.ts';
import { EventLog } from '../components/event-log/event-log.tsx';
import { KegForm } from '../components/keg-form/keg-form.tsx';
import { KegHead } from '../components/keg-head/keg-head.tsx';
import { Values } from '../components/keg-row/keg-row.tsx';
import { carbonationNumber, digits, temperatureFromC } from '../format/numbers.ts';
import { dayShort, midnights } from '../format/times.ts';
import { GAS_WORD } from '../format/words.ts';
import { addKeg, changeKeg, enterEvent, removeKeg, startBatch, withdrawEvent } from '../store/actions.ts';
import type { Trouble } from '../store/api.ts';
import { clockAheadMs, serviceMinute, serviceNow } from '../store/clock.ts';
import { heard, places, supplies, units, view, zone } from '../store/dashboard.ts';
import { type KegHistory, kegHistory } from '../store/keg-history.ts';
import { open } from '../store/navigation.ts';
import type { Range } from '../store/range.ts';
import './keg.css';
import { Suggestion } from '../components/suggestion/suggestion.tsx';

/** One keg: may I fill, where it stands, how it got there, and what was done with it. */
export function KegPage({ kegId }: { readonly kegId: string }) {
  const keg = view.value.kegs.find((one) => one.kegId === kegId);
  if (keg !== undefined) return keg.adopted ? <Known keg={keg} /> : <Unadopted keg={keg} />;
  if (!view.value.known || view.value.connection !== 'live') return <p class="loading">Asking what was last heard.</p>;
  return (
    <div class="sheet">
      <h1>There is no keg “{kegId}”</h1>
      <p>
        It was removed, or never heard. <a href="/">See all kegs</a>.
      </p>
    </div>
  );
}

function Unadopted({ keg }: { readonly keg: KegState }) {
  return (
    <div class="sheet">
      <h1>{keg.kegId} is heard, but not yours yet</h1>
      <ul>
        <Suggestion keg={keg} units={units.value} old={heard.value.kind === 'old'} onAdd={addKeg} />
      </ul>
    </div>
  );
}

function Known({ keg }: { readonly keg: KegState }) {
  const history = useMemo(() => kegHistory(keg.kegId, firstRange(keg)), [keg.kegId]);
  useEffect(() => history.start(), [history]);
  const hearing = heard.value;
  const old = hearing.kind === 'old';
  const oldSinceMs = old ? (hearing.sinceMs ?? 0) + clockAheadMs.value : null;
  return (
    <div class="keg-page">
      <KegHead keg={keg} oldSinceMs={oldSinceMs} />
      {keg.batchId === null && <Unfilled keg={keg} history={history} />}
      <div class="keg-parts">
        <MapPart keg={keg} history={history} old={old} />
        <Checks
          headline={keg.verdict.headline}
          checks={keg.verdict.checks}
          inputs={keg.inputs}
          units={units.value}
          old={old}
        />
        <CurvePart keg={keg} history={history} />
        <div class="records">
          <LogPart keg={keg} history={history} />
          <DetailsPart keg={keg} history={history} />
        </div>
      </div>
    </div>
  );
}

/** A young batch is shown whole, an old one by its last week. */
function firstRange(keg: KegState): Range {
  const TWO_WEEKS_MS = 14 * 24 * 3_600_000;
  const filledAtMs = keg.filledAt === null ? null : Date.parse(keg.filledAt);
  if (filledAtMs !== null && serviceNow.peek() - filledAtMs < TWO_WEEKS_MS)
    return { kind: 'batch', fromMs: filledAtMs };
  return { kind: 'last', hours: keg.batchId === null ? 24 : 168 };
}

interface PartProps {
  readonly keg: KegState;
  readonly history: KegHistory;
}

function Unfilled({ keg, history }: PartProps) {
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
      onStart={(batch, further) => then(history, startBatch(keg.kegId, batch, further))}
    />
  );
}

function MapPart({ keg, history, old }: PartProps & { readonly old: boolean }) {
  const trail = useMemo(() => trailOf(history.trail.value), [history.trail.value]);
  const closed = useMemo(
    () => closedIntervals(history.events.value, serviceMinute.value),
    [history.events.value, serviceMinute.value],
  );
  const rings = useMemo(() => {
    const first = trail[0];
    const last = trail[trail.length - 1];
    if (first === undefined || last === undefined) return [];
    return midnights(first.atMs, last.atMs, zone.value).map((atMs) => ({ atMs, label: dayShort(atMs, zone.value) }));
  }, [trail, zone.value]);
  const now =
    keg.beerTemperatureC === null || keg.headspaceKpaGauge === null
      ? null
      : { celsius: keg.beerTemperatureC, kpaGauge: keg.headspaceKpaGauge };
  const supply = supplies.value.find((one) => one.supplyId === keg.supplyId);
  const co2Ratio = supply === undefined ? 1 : supply.co2Ratio;
  return (
    <section class="part map" aria-labelledby="h-map">
      <header>
        <h2 id="h-map">Where it stands</h2>
        <p class="note">
          <Values keg={keg} units={units.value} old={old} />
        </p>
      </header>
      {co2Ratio === null ? (
        <p class="note waiting">
          The gas is mixed, and its share of CO2 is not set: which setting gives which carbonation cannot be told.
        </p>
      ) : (
        <CarbonationMap
          units={units.value}
          beerName={keg.batchName ?? keg.name}
          ambientKpaAbsolute={keg.ambientKpaAbsolute}
          co2Ratio={co2Ratio}
          ambientFrom={keg.ambientFrom}
          target={keg.target}
          advisedKpaGauge={keg.advisedKpaGauge}
          abvPercent={keg.abvPercent}
          now={now}
          trail={trail}
          closed={closed}
          midnights={rings}
          gasWord={GAS_WORD[keg.gas]}
          act={asksForSetting(keg)}
          old={old}
        />
      )}
    </section>
  );
}

/** True if somebody must change the pressure: then the arrow on the map is the thing to do. */
function asksForSetting(keg: KegState): boolean {
  const about = new Set(['carbonation', 'overcarbonation-risk', 'serving-pressure']);
  return (
    keg.verdict.kind === 'act' && keg.verdict.checks.some((check) => check.state === 'act' && about.has(check.name))
  );
}

function CurvePart({ keg, history }: PartProps) {
  const columns = useMemo<CurveColumns | null>(
    () => (history.curve.value === null ? null : readCurve(history.curve.value)),
    [history.curve.value],
  );
  return (
    <CurvePanel
      columns={columns}
      span={history.span.value}
      range={history.range.value}
      batchFromMs={keg.filledAt === null ? null : Date.parse(keg.filledAt)}
      events={history.events.value}
      target={keg.target}
      units={units.value}
      zone={zone.value}
      nowMs={serviceMinute.value}
      trouble={history.trouble.value?.detail ?? null}
      onRange={history.choose}
    />
  );
}

function LogPart({ keg, history }: PartProps) {
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

function DetailsPart({ keg, history }: PartProps) {
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

/** Reads the keg's records again once a change was taken. */
async function then(history: KegHistory, change: Promise<Trouble | null>): Promise<Trouble | null> {
  const trouble = await change;
  history.reload();
  return trouble;
}

function trailOf(curve: KegHistory['trail']['value']): readonly TrailPoint[] {
  if (curve === null) return [];
  const { time, beerTemperatureC, headspaceKpaGauge } = curve.columns;
  return time.map((at, index) => ({
    atMs: Date.parse(at),
    celsius: beerTemperatureC.mean[index] ?? null,
    kpaGauge: headspaceKpaGauge.mean[index] ?? null,
  }));
}
