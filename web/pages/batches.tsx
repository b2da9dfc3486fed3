import { useEffect } from 'preact/hooks';
import type { Batch } from '../../src/contract/catalogue.ts';
import { BatchList } from '../components/batch-list/batch-list.tsx';
import { followEvery, serviceMinute } from '../store/clock.ts';
import { units, view, zone } from '../store/dashboard.ts';
import { endings, type Held } from '../store/endings.ts';
import { resource } from '../store/resource.ts';
import '../styles/lists.css';

const read = resource<{ batches: Batch[] }>('/batches');
const EVERY_MS = 60_000;

/** What is and was in the kegs, newest first. */
export function BatchesPage() {
  useEffect(() => followEvery(EVERY_MS, () => void read.load()), []);
  const batches = read.value.value?.batches ?? null;
  const newest = (batches ?? []).toSorted((a, b) => Date.parse(b.beganAt) - Date.parse(a.beganAt));
  const open = newest.filter((batch) => batch.endedAt === null);
  const over = newest.filter((batch) => batch.endedAt !== null);
  const overIds = over.map((batch) => batch.batchId);
  useEffect(() => endings.follow(overIds), [overIds.join(' ')]);
  if (batches === null) return <p class="loading">{read.trouble.value?.detail ?? 'Asking what was in the kegs.'}</p>;
  const common = { kegName, units: units.value, zone: zone.value, nowMs: serviceMinute.value };
  return (
    <div class="sheet lists">
      <h1>Batches</h1>
      <p class="note">
        <a href="/fills">Bottles filled of them, and bottles to taste</a>
      </p>
      {read.trouble.value !== null && <p class="note">{read.trouble.value.detail}</p>}
      {batches.length === 0 && <Nothing />}
      <div class="batch-lists">
        {open.length > 0 && (
          <BatchList id="h-open" heading="In the kegs now" batches={open} heldBy={heldNow} {...common} />
        )}
        {over.length > 0 && (
          <BatchList
            id="h-over"
            heading="Before"
            batches={over}
            heldBy={(batch) => endings.known.value.get(batch.batchId)}
            {...common}
          />
        )}
      </div>
    </div>
  );
}

function Nothing() {
  return (
    <p class="why">
      No beer was entered yet. Open a keg under <a href="/">Now</a> and say what is in it: from then on the beer stands
      here, and stays here when the keg is empty.
    </p>
  );
}

/** What is in an open batch is told live. */
const heldNow = (batch: Batch): Held | null =>
  view.value.kegs.find((keg) => keg.batchId === batch.batchId)?.dissolved ?? null;

const kegName = (kegId: string): string => view.value.kegs.find((keg) => keg.kegId === kegId)?.name ?? kegId;
