import { useEffect, useMemo } from 'preact/hooks';
import type { Batch } from '../../src/contract/catalogue.ts';
import type { Afterwards, Fill, FillChange, FilledBottle } from '../../src/contract/fill.ts';
import { FillBottles } from '../components/fill-bottles/fill-bottles.tsx';
import { FillDetails } from '../components/fill-details/fill-details.tsx';
import { FillKeeping } from '../components/fill-keeping/fill-keeping.tsx';
import { FillLabels } from '../components/fill-labels/fill-labels.tsx';
import { countWords } from '../components/fill-list/fill-list.tsx';
import { carbonation, volume } from '../format/numbers.ts';
import { dayAndHour, dayOfYear, durationWords } from '../format/times.ts';
import { ask } from '../store/api.ts';
import { serviceMinute } from '../store/clock.ts';
import { connections, units, zone } from '../store/dashboard.ts';
import { type Resource, resource } from '../store/resource.ts';
import { fillPathOf, pathOfBatch } from '../store/routes.ts';
import './fill-record.css';

/** One fill: its bottles by number, their labels, how to keep them, and where they went. */
export function FillRecordPage({ fillId }: { readonly fillId: string }) {
  const path = `/fills/${encodeURIComponent(fillId)}`;
  const read = useMemo(() => resource<Fill>(path), [path]);
  const after = useMemo(() => resource<Afterwards>(`${path}/afterwards`), [path]);
  useEffect(() => {
    void read.load();
    void after.load();
  }, [read, after, connections.value]);
  const fill = read.value.value;
  if (fill !== null) return <Known fill={fill} read={read} told={after.value.value} />;
  const trouble = read.trouble.value;
  if (trouble === null) return <p class="loading">Asking for the fill.</p>;
  return (
    <div class="sheet">
      <h1>This fill cannot be shown</h1>
      <p>
        {trouble.detail} <a href="/fills">See all fills</a>.
      </p>
    </div>
  );
}

interface KnownProps {
  readonly fill: Fill;
  readonly read: Resource<Fill>;
  readonly told: Afterwards | null;
}

function Known({ fill, read, told }: KnownProps) {
  const nowMs = serviceMinute.value;
  const batch = useMemo(
    () => (fill.batchId === null ? null : resource<Batch>(`/batches/${encodeURIComponent(fill.batchId)}`)),
    [fill.batchId],
  );
  useEffect(() => void batch?.load(), [batch]);
  // Bottles come after the page: a link to one of them finds it only now.
  useEffect(() => document.getElementById(location.hash.slice(1))?.scrollIntoView(), []);
  const onChange = async (bottleId: string, entry: object) => {
    const answer = await ask<FilledBottle>(
      'PUT',
      `/fills/${encodeURIComponent(fill.fillId)}/bottles/${bottleId}`,
      entry,
    );
    if (answer.ok) await read.load();
    return answer.ok ? null : answer.trouble;
  };
  const onDetails = async (entry: FillChange) => {
    const answer = await ask<Fill>('PATCH', `/fills/${encodeURIComponent(fill.fillId)}`, entry);
    if (answer.ok) read.value.value = answer.body;
    return answer.ok ? null : answer.trouble;
  };
  return (
    <div class="sheet lists fill-record">
      <p class="back">
        <a href="/fills">‹ All fills</a>
        {fill.batchId !== null && <a href={pathOfBatch(fill.batchId)}>Its beer</a>}
        {fill.endedAt === null && <a href={fillPathOf(fill.kegId)}>It goes on: to the count</a>}
      </p>
      <h1>
        {fill.batchName ?? fill.kegId}, {dayOfYear(Date.parse(fill.startedAt), nowMs, zone.value)}
      </h1>
      <p class="soft">{factWords(fill, nowMs)}</p>
      <div class="fill-record-parts">
        <div>
          <section class="part" aria-labelledby="h-bottles">
            <header>
              <h2 id="h-bottles">Bottles</h2>
              <p class="note">{countWords(fill)}</p>
            </header>
            {fill.bottles.length === 0 && <p class="note">None was filled.</p>}
            <FillBottles
              bottles={fill.bottles}
              units={units.value}
              zone={zone.value}
              nowMs={nowMs}
              onChange={onChange}
            />
          </section>
          <section class="part" aria-labelledby="h-details">
            <header>
              <h2 id="h-details">The fill as a whole</h2>
            </header>
            <FillDetails
              key={`${fill.lostL}-${fill.remark}-${fill.tasteAfterDays}-${units.value.volume}`}
              fill={fill}
              units={units.value}
              onChange={onDetails}
            />
          </section>
        </div>
        <div>{told !== null && <FillKeeping told={told} units={units.value} zone={zone.value} />}</div>
      </div>
      {fill.bottles.length > 0 && (
        <FillLabels
          fill={fill}
          drinkBy={told?.drinkBy ?? null}
          abvPercent={batch?.value.value?.abvPercent ?? null}
          units={units.value}
          zone={zone.value}
          nowMs={nowMs}
        />
      )}
    </div>
  );
}

/** "Tuesday 19:02, 55 min, 12.2 L drawn, after 40 h at rest, 2.41 volumes in the keg" */
function factWords(fill: Fill, nowMs: number): string {
  const startedMs = Date.parse(fill.startedAt);
  const dissolved = fill.bottles.find(({ conditions }) => conditions?.dissolved != null)?.conditions?.dissolved ?? null;
  const facts = [
    dayAndHour(startedMs, zone.value),
    durationWords((fill.endedAt === null ? nowMs : Date.parse(fill.endedAt)) - startedMs),
    `${volume(fill.drawnL, units.value)} drawn`,
    fill.restHours === null ? null : `after ${durationWords(fill.restHours * 3_600_000)} at rest`,
    dissolved === null ? null : `${carbonation(dissolved.volumes, units.value)} in the keg`,
  ];
  return facts.filter((fact) => fact !== null).join(', ');
}
