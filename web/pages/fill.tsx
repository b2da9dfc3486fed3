import { useEffect, useMemo, useState } from 'preact/hooks';
import type { Keg } from '../../src/contract/catalogue.ts';
import type { BottleNote } from '../../src/contract/fill.ts';
import type { KegState } from '../../src/contract/state.ts';
import { FillChecklist } from '../components/fill-checklist/fill-checklist.tsx';
import { GROUPS_DURING, groupsAfter, groupsBefore } from '../components/fill-checklist/groups.ts';
import { FillCount } from '../components/fill-count/fill-count.tsx';
import { FillStart } from '../components/fill-start/fill-start.tsx';
import { nextSizeOf } from '../components/fill-start/sizes.ts';
import { FillStrip } from '../components/fill-strip/fill-strip.tsx';
import { usedGrams } from '../components/fill-strip/gas-used.ts';
import { FillTally } from '../components/fill-tally/fill-tally.tsx';
import { doneWords, tallySentence } from '../components/fill-tally/words.ts';
import { driftsOf, litresToCome, shortage } from '../components/fill-watch/drift.ts';
import { FillWatch } from '../components/fill-watch/fill-watch.tsx';
import { followEvery, serviceMinute, serviceNow } from '../store/clock.ts';
import { connections, heard, units, view, zone } from '../store/dashboard.ts';
import { fillDesk, newUuid, startFillDesk } from '../store/fill.ts';
import { fillOf, type LocalFill } from '../store/fill-queue.ts';
import { keepAwake } from '../store/keep-awake.ts';
import { purgeLeftS, startPurge } from '../store/purge.ts';
import { resource } from '../store/resource.ts';
import { pathOfFill, pathOfKeg, planPathOf } from '../store/routes.ts';
import './fill.css';

/** Others may count at the same fill. */
const FOLLOW_MS = 20_000;
/** After this long the end of a fill is no news: the page asks for the next one. */
const PAST_MS = 6 * 3_600_000;

/** The fill itself, from the checklist to the last bottle. Made for wet hands at the fridge, and for a cellar without network. */
export function FillPage({ kegId }: { readonly kegId: string }) {
  useEffect(startFillDesk, []);
  useEffect(() => followEvery(FOLLOW_MS, () => void fillDesk.follow(kegId)), [kegId, connections.value]);
  const keg = view.value.kegs.find((one) => one.kegId === kegId && one.adopted);
  const known = fillOf(fillDesk.kept.value, kegId);
  const isPast = known?.endedAt != null && serviceMinute.value - Date.parse(known.endedAt) > PAST_MS;
  const fill = isPast ? null : known;
  useEffect(() => {
    if (isPast) fillDesk.forget(kegId);
  }, [isPast]);
  if (keg !== undefined) return <Known keg={keg} fill={fill} />;
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

interface StageProps {
  readonly keg: KegState;
  readonly leftL: number | null;
  readonly workingKpaGaugeMax: number | null;
}

function Known({ keg, fill }: { readonly keg: KegState; readonly fill: LocalFill | null }) {
  const details = useMemo(() => resource<Keg>(`/kegs/${encodeURIComponent(keg.kegId)}`), [keg.kegId]);
  useEffect(() => void details.load(), [details, connections.value]);
  const hearing = heard.value;
  const leftL = beerLeftL(keg, fill);
  const stage: StageProps = { keg, leftL, workingKpaGaugeMax: details.value.value?.workingKpaGaugeMax ?? null };
  const sizes = fill?.bottles.map(({ sizeL }) => sizeL) ?? [];
  return (
    <div class="fill-page">
      <FillStrip
        keg={keg}
        units={units.value}
        oldSinceMs={hearing.kind === 'old' ? hearing.sinceMs : null}
        leftL={leftL}
        usedGrams={
          fill === null ? null : usedGrams(sizes, keg.beerTemperatureC, keg.headspaceKpaGauge, keg.ambientKpaAbsolute)
        }
      />
      {fill === null ? (
        <Before {...stage} />
      ) : fill.endedAt === null ? (
        <Filling {...stage} fill={fill} />
      ) : (
        <Done {...stage} fill={fill} />
      )}
      <Kept />
    </div>
  );
}

/** A scale under the keg is believed, else what was filled is taken from what was there; null: nobody knows. */
function beerLeftL(keg: KegState, fill: LocalFill | null): number | null {
  const check = keg.verdict.checks.find(({ name }) => name === 'beer-left');
  const checkL = typeof check?.measured === 'number' && check.unit === 'L' ? check.measured : null;
  const isWeighed = keg.inputs.some(({ quantity, state }) => quantity === 'keg-mass' && state !== 'stale');
  if (isWeighed && checkL !== null) return checkL;
  if (fill === null || fill.beerAtStartL === null) return checkL;
  return fill.bottles.reduce((left, { sizeL }) => left - sizeL, fill.beerAtStartL - fill.lostL);
}

const ticksOf = (kegId: string) => ({
  ticked: fillDesk.kept.value.ticked[kegId] ?? [],
  onTick: (ticked: readonly string[]) => fillDesk.tick(kegId, ticked),
});

function Before({ keg, leftL, workingKpaGaugeMax }: StageProps) {
  const { kegId } = keg;
  const start = (planned: readonly { readonly count: number; readonly sizeL: number }[]): void => {
    const fillId = newUuid();
    fillDesk.note(fillId, { beerC: keg.beerTemperatureC, kpaGauge: keg.headspaceKpaGauge });
    const startedAt = new Date(serviceNow.peek()).toISOString();
    fillDesk.put({ kind: 'start', fillId, kegId, startedAt, planned });
  };
  return (
    <div class="fill-parts before">
      {keg.batchId === null ? (
        <div class="fill-done">
          <h1>Nothing is entered to be in this keg</h1>
          <p>
            <a href={pathOfKeg(kegId)}>Say what it holds</a> before you fill from it.
          </p>
        </div>
      ) : (
        <FillStart
          kind={keg.verdict.kind}
          headline={keg.verdict.headline}
          leftL={leftL}
          units={units.value}
          planPath={planPathOf(kegId)}
          onStart={start}
        />
      )}
      <FillChecklist groups={groupsBefore(keg, workingKpaGaugeMax, units.value)} {...ticksOf(kegId)} />
    </div>
  );
}

function Filling({ keg, leftL, fill }: StageProps & { readonly fill: LocalFill }) {
  const { fillId, bottles, planned } = fill;
  const [chosenL, setChosenL] = useState<number | null>(null);
  useEffect(keepAwake, []);
  const last = bottles.at(-1) ?? null;
  const nextSizeL = chosenL ?? nextSizeOf(planned, bottles);
  const sizesL = [...new Set([...planned.map(({ sizeL }) => sizeL), ...bottles.map(({ sizeL }) => sizeL)])];
  const begin = fillDesk.kept.value.begins[fillId] ?? fill.begin ?? { beerC: null, kpaGauge: null };
  const short = shortage(leftL, litresToCome(fill), units.value);
  const drifts = [...driftsOf(begin, keg, units.value), ...(short === null ? [] : [short])];
  const now = (): string => new Date(serviceNow.peek()).toISOString();
  const onFull = (): void => {
    fillDesk.put({ kind: 'bottle', fillId, bottleId: newUuid(), sizeL: nextSizeL, note: 'clean', filledAt: now() });
    // A size that was chosen against the plan holds for one bottle.
    setChosenL(null);
  };
  const onNote = (note: BottleNote): void => {
    if (last === null) return;
    const { bottleId, sizeL, filledAt } = last;
    fillDesk.put({ kind: 'bottle', fillId, bottleId, sizeL, note, filledAt });
  };
  return (
    <div class="fill-parts">
      <div class="fill-now">
        <FillTally
          bottles={bottles}
          planned={planned.reduce((sum, { count }) => sum + count, 0)}
          doneWords={doneWords(fill, serviceMinute.value, zone.value)}
        />
        <FillWatch drifts={heard.value.kind === 'old' ? [] : drifts} />
        <FillCount
          last={last}
          nextNumber={Math.max(0, ...bottles.map(({ number }) => number)) + 1}
          sizesL={sizesL}
          nextSizeL={nextSizeL}
          units={units.value}
          purgeLeftS={purgeLeftS.value}
          onFull={onFull}
          onNote={onNote}
          onUndo={() => last !== null && fillDesk.put({ kind: 'remove', fillId, bottleId: last.bottleId })}
          onSize={setChosenL}
          onPurge={startPurge}
          onStop={() => fillDesk.put({ kind: 'end', fillId, endedAt: now() })}
        />
      </div>
      <FillChecklist groups={GROUPS_DURING} {...ticksOf(keg.kegId)} />
    </div>
  );
}

function Done({ keg, fill }: StageProps & { readonly fill: LocalFill }) {
  const { fillId, bottles } = fill;
  return (
    <div class="fill-parts">
      <div class="fill-done">
        <h1>{bottles.length === 0 ? 'No bottle was filled' : `${tallySentence(bottles, 0)}.`}</h1>
        <p class="lead">Labels, where the bottles went and how to keep them stand on the page of this fill.</p>
        <a class="btn main" href={pathOfFill(fillId)}>
          To the bottles
        </a>
        <button class="btn" type="button" onClick={() => fillDesk.put({ kind: 'end', fillId, endedAt: null })}>
          It goes on after all
        </button>
        <button class="btn plain" type="button" onClick={() => fillDesk.forget(keg.kegId)}>
          Begin another fill
        </button>
      </div>
      <FillChecklist groups={groupsAfter(keg, units.value)} {...ticksOf(keg.kegId)} />
    </div>
  );
}

/** What is not with Quietkeg yet, and what it would not take. */
function Kept() {
  const { ops, refused } = fillDesk.kept.value;
  const waits = fillDesk.trouble.value !== null && ops.length > 0;
  return (
    <>
      <p class="fill-kept" role="status">
        {!fillDesk.durable.value && 'This device keeps nothing: leave the page open until all is sent. '}
        {waits &&
          `Quietkeg is not reached. ${ops.length === 1 ? 'One tap is' : `${ops.length} taps are`} kept here and sent when it is.`}
      </p>
      {refused.length > 0 && (
        <div class="is-act" role="alert">
          <p class="slip">Not taken: {refused.map(({ detail }) => detail).join(' ')}</p>
          <button class="btn" type="button" onClick={() => fillDesk.forgetRefused()}>
            I have read it
          </button>
        </div>
      )}
    </>
  );
}
