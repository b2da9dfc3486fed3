import { useEffect, useMemo } from 'preact/hooks';
import type { Batch } from '../../src/contract/catalogue.ts';
import type { FillSummary } from '../../src/contract/fill.ts';
import type { ReadyTimes } from '../../src/contract/learning.ts';
import { BatchDetails } from '../components/batch-details/batch-details.tsx';
import { heldSentence, howLong, whenIn, windowOf } from '../components/batch-list/words.ts';
import { CurvePanel } from '../components/curve-panel/curve-panel.tsx';
import { readCurve } from '../components/curve-panel/read-curve.ts';
import { byFilling, type Names } from '../components/event-log/entry.ts';
import { EventList } from '../components/event-log/event-list.tsx';
import { FillRows } from '../components/fill-list/fill-list.tsx';
import { Results } from '../components/gas-check/results.tsx';
import { ReadyTimesPart } from '../components/ready-times/ready-times.tsx';
import { describeBatch } from '../store/actions.ts';
import { type BatchHistory, batchHistory } from '../store/batch-history.ts';
import { serviceMinute } from '../store/clock.ts';
import { connections, places, supplies, units, view, zone } from '../store/dashboard.ts';
import { resource } from '../store/resource.ts';
import { fillPathOf, pathOfKeg } from '../store/routes.ts';
import './batch.css';

/** One batch: how it got where it is, what was done with it, and what is known of the beer. */
export function BatchPage({ batchId }: { readonly batchId: string }) {
  const history = useMemo(() => batchHistory(batchId), [batchId]);
  useEffect(() => history.start(), [history]);
  const batch = history.batch.value;
  const trouble = history.trouble.value;
  if (batch !== null) return <Known batch={batch} history={history} />;
  if (trouble === null) return <p class="loading">Asking for the batch.</p>;
  return (
    <div class="sheet">
      <h1>This batch cannot be shown</h1>
      <p>
        {trouble.detail} <a href="/batches">See all batches</a>.
      </p>
    </div>
  );
}

interface PartProps {
  readonly batch: Batch;
  readonly history: BatchHistory;
}

function Known({ batch, history }: PartProps) {
  const nowMs = serviceMinute.value;
  const keg = view.value.kegs.find((one) => one.kegId === batch.kegId);
  const facts = [batch.style, keg?.name ?? batch.kegId, whenIn(batch, nowMs, zone.value), howLong(batch, nowMs)];
  return (
    <div class="sheet batch-page">
      <p class="back">
        <a href="/batches">‹ All batches</a>
        {batch.endedAt === null && <a href={pathOfKeg(batch.kegId)}>Its keg</a>}
      </p>
      <h1>{batch.name}</h1>
      <p class="soft">{facts.filter((fact) => fact !== null).join(', ')}</p>
      <Curve batch={batch} history={history} />
      <div class="batch-parts">
        <div>
          <Events batch={batch} history={history} />
          <Fills batch={batch} />
          <Forecasts batchId={batch.batchId} />
          <Results results={history.checks.value} units={units.value} />
        </div>
        <div>
          <BatchDetails
            batch={batch}
            onChange={async (entry) => {
              const answer = await describeBatch(batch.batchId, entry);
              if (answer.ok) history.batch.value = answer.body;
              return answer.ok ? null : answer.trouble;
            }}
          />
          <Files batch={batch} />
        </div>
      </div>
    </div>
  );
}

function Curve({ batch, history }: PartProps) {
  const curve = history.curve.value;
  const columns = useMemo(() => (curve === null ? null : readCurve(curve)), [curve]);
  const { range, span, events } = history;
  const keg = view.value.kegs.find((one) => one.batchId === batch.batchId);
  const target = keg?.target ?? windowOf(events.value);
  const isOpen = batch.endedAt === null;
  const held = isOpen ? (keg?.dissolved ?? null) : history.held.value;
  if (range.value === null || span.value === null) return null;
  return (
    <>
      {held !== undefined && <p class="lead">{heldSentence(held, isOpen, target, units.value)}</p>}
      <CurvePanel
        columns={columns}
        span={span.value}
        range={range.value}
        batchFromMs={Date.parse(batch.beganAt)}
        events={events.value}
        target={target}
        units={units.value}
        zone={zone.value}
        nowMs={serviceMinute.value}
        endedMs={batch.endedAt === null ? null : Date.parse(batch.endedAt)}
        trouble={history.curveTrouble.value?.detail ?? null}
        onRange={history.choose}
      />
    </>
  );
}

function Events({ batch, history }: PartProps) {
  const { newest } = byFilling(history.events.value, Date.parse(batch.beganAt));
  return (
    <section class="part log" aria-labelledby="h-log">
      <header>
        <h2 id="h-log">What you did</h2>
        {batch.endedAt === null && (
          <p class="note">
            Enter and withdraw on the <a href={pathOfKeg(batch.kegId)}>keg’s page</a>.
          </p>
        )}
      </header>
      {newest.length === 0 ? (
        <p class="note">Nothing of it is known any more.</p>
      ) : (
        <EventList events={newest} units={units.value} names={namesOf(batch)} />
      )}
    </section>
  );
}

/** What the keg’s fridge and gas are called; a keg that is gone tells of neither, so their ids are said. */
function namesOf({ kegId }: Batch): Names {
  const keg = view.value.kegs.find((one) => one.kegId === kegId);
  const [placeId, supplyId] = [keg?.placeId ?? '', keg?.supplyId ?? ''];
  return {
    placeId,
    placeName: places.value.find((place) => place.placeId === placeId)?.name ?? placeId,
    supplyId,
    supplyName: supplies.value.find((supply) => supply.supplyId === supplyId)?.name ?? supplyId,
  };
}

/** Bottles that were filled of it. */
function Fills({ batch }: { readonly batch: Batch }) {
  const { batchId, kegId, endedAt } = batch;
  const read = useMemo(
    () => resource<{ fills: FillSummary[] }>(`/fills?batchId=${encodeURIComponent(batchId)}`),
    [batchId],
  );
  useEffect(() => void read.load(), [read, connections.value]);
  const fills = read.value.value?.fills ?? [];
  if (fills.length === 0 && endedAt !== null) return null;
  return (
    <section class="part" aria-labelledby="h-fills">
      <header>
        <h2 id="h-fills">Bottles filled</h2>
        <p class="note">{endedAt === null && <a href={fillPathOf(kegId)}>Fill bottles</a>}</p>
      </header>
      {fills.length === 0 ? (
        <p class="note">None yet.</p>
      ) : (
        <FillRows fills={fills} zone={zone.value} nowMs={serviceMinute.value} />
      )}
    </section>
  );
}

/** When it was expected to be carbonated, against when it was; nothing while nothing was forecast. */
function Forecasts({ batchId }: { readonly batchId: string }) {
  const read = useMemo(() => resource<ReadyTimes>(`/batches/${encodeURIComponent(batchId)}/ready-times`), [batchId]);
  useEffect(() => void read.load(), [read, connections.value]);
  const times = read.value.value;
  if (times === null || times.forecasts.length === 0) return null;
  return (
    <section class="part" aria-labelledby="h-forecasts">
      <header>
        <h2 id="h-forecasts">What was forecast, and what came</h2>
      </header>
      <ReadyTimesPart times={times} zone={zone.value} nowMs={serviceMinute.value} />
    </section>
  );
}

function Files({ batch }: { readonly batch: Batch }) {
  const address = `/api/v1/batches/${encodeURIComponent(batch.batchId)}/export?format=`;
  return (
    <section class="part" aria-labelledby="h-files">
      <header>
        <h2 id="h-files">Take it with you</h2>
      </header>
      <p class="note">Every reading as it came, before any calibration.</p>
      <div class="doing">
        <a class="btn" href={`${address}csv`} download>
          For a spreadsheet (CSV)
        </a>
        <a class="btn" href={`${address}ndjson`} download>
          With what you did (JSON lines)
        </a>
      </div>
    </section>
  );
}
