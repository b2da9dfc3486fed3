import { useEffect } from 'preact/hooks';
import type { FillSummary, TastingList } from '../../src/contract/fill.ts';
import type { CleanFills } from '../../src/contract/learning.ts';
import { CleanFillsPart } from '../components/clean-fills/clean-fills.tsx';
import { FillRows } from '../components/fill-list/fill-list.tsx';
import { Tastings } from '../components/tastings/tastings.tsx';
import { followEvery, serviceMinute } from '../store/clock.ts';
import { units, zone } from '../store/dashboard.ts';
import { resource } from '../store/resource.ts';
import '../styles/lists.css';

const read = resource<{ fills: FillSummary[] }>('/fills');
const tastings = resource<TastingList>('/tastings');
const learnt = resource<CleanFills>('/clean-fills');
const EVERY_MS = 60_000;

/** All fills, what is to be tasted of them, and what they taught. */
export function FillsPage() {
  useEffect(() => followEvery(EVERY_MS, () => void Promise.all([read.load(), tastings.load(), learnt.load()])), []);
  const fills = read.value.value?.fills ?? null;
  const nowMs = serviceMinute.value;
  if (fills === null) return <p class="loading">{read.trouble.value?.detail ?? 'Asking what was filled.'}</p>;
  return (
    <div class="sheet lists">
      <h1>Fills</h1>
      <div class="parts">
        <section class="part" aria-labelledby="h-fills">
          <header>
            <h2 id="h-fills">Bottles filled</h2>
          </header>
          {fills.length === 0 ? (
            <p class="note">None yet. Open a keg and begin: every bottle is counted there.</p>
          ) : (
            <FillRows fills={fills} zone={zone.value} nowMs={nowMs} />
          )}
        </section>
        <div>
          <section class="part" aria-labelledby="h-tastings">
            <header>
              <h2 id="h-tastings">Taste these</h2>
            </header>
            <Tastings tastings={tastings.value.value?.tastings ?? []} zone={zone.value} nowMs={nowMs} />
          </section>
          {learnt.value.value !== null && (
            <section class="part" aria-labelledby="h-clean">
              <header>
                <h2 id="h-clean">What gave clean fills</h2>
              </header>
              <CleanFillsPart learnt={learnt.value.value} units={units.value} />
            </section>
          )}
        </div>
      </div>
    </div>
  );
}
