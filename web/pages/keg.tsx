import { useEffect, useMemo, useState } from 'preact/hooks';
import type { KegState } from '../../src/contract/state.ts';
import { AlertRow } from '../components/alert-row/alert-row.tsx';
import { CarbonationMap } from '../components/carbonation-map/carbonation-map.tsx';
import { closedIntervals, type TrailPoint } from '../components/carbonation-map/geometry.ts';
import { Checks } from '../components/checks/checks.tsx';
import { CurvePanel } from '../components/curve-panel/curve-panel.tsx';
import { type CurveColumns, readCurve } from '../components/curve-panel/read-curve.ts';
import { Trouble as TroubleText } from '../components/form/trouble.tsx';
import { InTheBeer } from '../components/in-the-beer/in-the-beer.tsx';
import { KegHead } from '../components/keg-head/keg-head.tsx';
import { Values } from '../components/keg-row/keg-row.tsx';
import { Notices } from '../components/notices/notices.tsx';
import { Suggestion } from '../components/suggestion/suggestion.tsx';
import { dayShort, midnights } from '../format/times.ts';
import { GAS_WORD } from '../format/words.ts';
import { acknowledge, addKeg, keepEvent, mute, unmute, withdrawEvent } from '../store/actions.ts';
import type { Trouble } from '../store/api.ts';
import { clockAheadMs, serviceMinute, serviceNow } from '../store/clock.ts';
import { heard, supplies, units, view, zone } from '../store/dashboard.ts';
import { isOpen } from '../store/episodes.ts';
import { type KegHistory, kegHistory } from '../store/keg-history.ts';
import type { Range } from '../store/range.ts';
import { gasCheckPathOf, planPathOf } from '../store/routes.ts';
import { DetailsPart, LearningPart, LogPart, type PartProps, then, thenKept, Unfilled } from './keg-records.tsx';
import { laterPage } from './later-page.tsx';
import { NoKeg } from './no-keg.tsx';
import './keg.css';

/** One keg: may I fill, where it stands, how it got there, and what was done with it. */
export function KegPage({ kegId }: { readonly kegId: string }) {
  const keg = view.value.kegs.find((one) => one.kegId === kegId);
  if (keg !== undefined) return keg.adopted ? <Known keg={keg} /> : <Unadopted keg={keg} />;
  return <NoKeg kegId={kegId} />;
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
  const [leftOver, setLeftOver] = useState<Trouble | null>(null);
  const hearing = heard.value;
  const old = hearing.kind === 'old';
  const oldSinceMs = old ? (hearing.sinceMs ?? 0) + clockAheadMs.value : null;
  return (
    <div class="keg-page">
      <KegHead keg={keg} oldSinceMs={oldSinceMs} />
      {leftOver !== null && <LeftOver trouble={leftOver} onSeen={() => setLeftOver(null)} />}
      {keg.batchId === null && (
        <>
          {keg.gasCheck === null && (
            <p>
              Before beer goes in:{' '}
              <a class="btn" href={gasCheckPathOf(keg.kegId)}>
                See if the keg is tight
              </a>
            </p>
          )}
          <Unfilled keg={keg} history={history} onLeftOver={setLeftOver} />
        </>
      )}
      <Notices
        notices={old ? NOTHING_NOTICED : keg.notices}
        units={units.value}
        onEnter={(entry) => thenKept(history, keepEvent(keg.kegId, entry))}
        onWithdraw={(eventId) => then(history, withdrawEvent(keg.kegId, eventId))}
      />
      <KegAlerts kegId={keg.kegId} />
      <InTheBeer keg={keg} units={units.value} oldSinceMs={oldSinceMs} />
      <div class="keg-parts">
        <MapPart keg={keg} history={history} old={old} />
        <Checks
          headline={keg.verdict.headline}
          checks={keg.verdict.checks}
          inputs={keg.inputs}
          units={units.value}
          old={old}
          basis={{ keg, co2Ratio: co2RatioOf(keg) }}
          {...(keg.batchId === null || keg.gasCheck !== null ? {} : { gasCheckPath: gasCheckPathOf(keg.kegId) })}
        />
        <CurvePart keg={keg} history={history} />
        {keg.batchId !== null && <PlanPart keg={keg} />}
        {keg.batchId !== null && <WhatIfPart keg={keg} history={history} />}
        {keg.batchId !== null && <LimitsPart key={keg.batchId} batchId={keg.batchId} />}
        <div class="records">
          <LogPart keg={keg} history={history} />
          <div>
            <DetailsPart keg={keg} history={history} />
            <LearningPart keg={keg} />
          </div>
        </div>
      </div>
    </div>
  );
}

/** What is open about this keg; nothing where nothing is. The live connection tells how it changes. */
function KegAlerts({ kegId }: { readonly kegId: string }) {
  const open = view.value.alerts.filter((episode) => episode.kegId === kegId && isOpen(episode));
  if (open.length === 0) return null;
  return (
    <section class="part" aria-labelledby="h-keg-alerts">
      <header>
        <h2 id="h-keg-alerts">Alerts of this keg</h2>
        <p class="note">
          <a href="/alerts">All alerts</a>
        </p>
      </header>
      <ul class="rows">
        {open.map((episode) => (
          <AlertRow
            key={episode.id}
            episode={episode}
            ofKeg
            onAcknowledge={acknowledge}
            onMute={mute}
            onUnmute={unmute}
          />
        ))}
      </ul>
    </section>
  );
}

/** What was refused of a new beer: stays until somebody has seen it, as the form is gone by then. */
function LeftOver({ trouble, onSeen }: { readonly trouble: Trouble; readonly onSeen: () => void }) {
  return (
    <div role="alert">
      <TroubleText trouble={trouble} />
      <div class="doing">
        <button class="btn" type="button" onClick={onSeen}>
          I have read it
        </button>
      </div>
    </div>
  );
}

/** What was noticed of values that may not be believed is not said. */
const NOTHING_NOTICED: KegState['notices'] = [];

/** A young batch is shown whole, an old one by its last week. */
function firstRange(keg: KegState): Range {
  const TWO_WEEKS_MS = 14 * 24 * 3_600_000;
  const filledAtMs = keg.filledAt === null ? null : Date.parse(keg.filledAt);
  if (filledAtMs !== null && serviceNow.peek() - filledAtMs < TWO_WEEKS_MS)
    return { kind: 'batch', fromMs: filledAtMs };
  return { kind: 'last', hours: keg.batchId === null ? 24 : 168 };
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
  const co2Ratio = co2RatioOf(keg);
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

/** Share of CO2 in the keg's gas; null: mixed, and not set. Until supplies are known it is pure, as most are. */
function co2RatioOf(keg: KegState): number | null {
  const supply = supplies.value.find((one) => one.supplyId === keg.supplyId);
  return supply === undefined ? 1 : supply.co2Ratio;
}

/** True if somebody must change the pressure: then the arrow on the map is the thing to do. */
function asksForSetting(keg: KegState): boolean {
  const about = new Set(['carbonation', 'overcarbonation-risk', 'serving-pressure']);
  return (
    keg.verdict.kind === 'act' && keg.verdict.checks.some((check) => check.state === 'act' && about.has(check.name))
  );
}

const limits = laterPage(async () => (await import('./keg-limits.tsx')).KegLimits);

function LimitsPart({ batchId }: { readonly batchId: string }) {
  const [opened, setOpened] = useState(false);
  return (
    <section class="part limits" aria-labelledby="h-limits">
      <header>
        <h2 id="h-limits">What its checks want</h2>
      </header>
      <details onToggle={(event) => setOpened(event.currentTarget.open)}>
        <summary>Limits of these checks</summary>
        {opened && <limits.Page batchId={batchId} />}
      </details>
    </section>
  );
}

const whatIf = laterPage(async () => (await import('./keg-what-if.tsx')).KegWhatIf);

/** Opened by whoever wants to ask: the service then works out a curve. */
function WhatIfPart({ keg, history }: PartProps) {
  const [asked, setAsked] = useState(false);
  return (
    <section class="part what-if" aria-labelledby="h-what-if">
      <header>
        <h2 id="h-what-if">What if?</h2>
      </header>
      {asked ? (
        <whatIf.Page keg={keg} workingKpaGaugeMax={history.details.value?.workingKpaGaugeMax ?? null} />
      ) : (
        <button class="btn" type="button" onClick={() => setAsked(true)}>
          Try another temperature or pressure
        </button>
      )}
    </section>
  );
}

/** The way to the page that works back from an hour. */
function PlanPart({ keg }: { readonly keg: KegState }) {
  return (
    <section class="part to-plan" aria-labelledby="h-to-plan">
      <header>
        <h2 id="h-to-plan">Bottles</h2>
      </header>
      <a class="btn" href={planPathOf(keg.kegId)}>
        Plan a fill
      </a>
    </section>
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

function trailOf(curve: KegHistory['trail']['value']): readonly TrailPoint[] {
  if (curve === null) return [];
  const { time, beerTemperatureC, headspaceKpaGauge } = curve.columns;
  return time.map((at, index) => ({
    atMs: Date.parse(at),
    celsius: beerTemperatureC.mean[index] ?? null,
    kpaGauge: headspaceKpaGauge.mean[index] ?? null,
  }));
}
