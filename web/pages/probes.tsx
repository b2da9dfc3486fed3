import { useEffect, useState } from 'preact/hooks';
import type { HeardTopic, Probe, Rejection } from '../../src/contract/catalogue.ts';
import type { Delivery } from '../../src/contract/delivery.ts';
import { DeliveryReport } from '../components/delivery/delivery-report.tsx';
import { FirstSteps } from '../components/first-steps/first-steps.tsx';
import { PlaceTopic } from '../components/place-topic/place-topic.tsx';
import type { Subjects } from '../components/place-topic/topic-choices.tsx';
import { ProbeList } from '../components/probe-list/probe-list.tsx';
import { Rejections } from '../components/rejections/rejections.tsx';
import { QUANTITY_WORD } from '../format/words.ts';
import { placeProbe, removeProbe } from '../store/actions.ts';
import type { Trouble } from '../store/api.ts';
import { followEvery, serviceMinute } from '../store/clock.ts';
import { heard, places, supplies, units, view, zone } from '../store/dashboard.ts';
import { resource } from '../store/resource.ts';
import '../styles/lists.css';

const probes = resource<{ probes: Probe[]; heard: HeardTopic[] }>('/probes');
const rejections = resource<{ count: number; rejections: Rejection[] }>('/rejections');
const delivery = resource<Delivery>('/delivery');
const EVERY_MS = 10_000;

/** Every probe with its value and age, what is heard but not placed, and what was not understood. */
export function ProbesPage() {
  useEffect(() => followEvery(EVERY_MS, loadAll), []);
  const list = probes.value.value;
  const rejected = rejections.value.value;
  const old = heard.value.kind === 'old';
  if (list === null) return <p class="loading">{probes.trouble.value?.detail ?? 'Asking which probes are heard.'}</p>;
  const nothing = list.probes.length === 0 && list.heard.length === 0;
  return (
    <div class="sheet lists">
      <h1>Probes</h1>
      {nothing && <FirstSteps />}
      <div class="parts of-probes">
        <div>
          {list.heard.length > 0 && (
            <section class="part" aria-labelledby="h-heard">
              <header>
                <h2 id="h-heard">Heard, but not placed yet</h2>
                <p class="note">{list.heard.length}</p>
              </header>
              {list.heard.map((topic) => (
                <PlaceTopic
                  key={topic.topic}
                  heard={topic}
                  subjects={subjects()}
                  probes={list.probes}
                  onPlace={(probeId, entry) => then(placeProbe(probeId, entry))}
                />
              ))}
            </section>
          )}
          <Groups probes={list.probes.filter(isOfKeg)} old={old} />
          {!nothing && <Unlisted list={list.probes} />}
          {delivery.value.value !== null && (
            <DeliveryReport
              report={delivery.value.value}
              probeName={(probeId) => probeName(list.probes, probeId)}
              zone={zone.value}
              nowMs={serviceMinute.value}
            />
          )}
        </div>
        <div>
          <Groups probes={list.probes.filter((probe) => !isOfKeg(probe))} old={old} />
          {rejected !== null && <Rejections {...rejected} />}
        </div>
      </div>
    </div>
  );
}

/** Quietkeg listens below `probes/` by itself; any other topic it hears once it is told of it. */
function Unlisted({ list }: { readonly list: readonly Probe[] }) {
  const [opened, setOpened] = useState(false);
  return (
    <details onToggle={(event) => setOpened(event.currentTarget.open)}>
      <summary>Place a topic that is not listed</summary>
      <p class="note">
        Of a broker elsewhere, Quietkeg hears the topics below probes/ by itself, and others once you place them here.
      </p>
      {opened && (
        <PlaceTopic
          heard={null}
          subjects={subjects()}
          probes={list}
          onPlace={(probeId, entry) => then(placeProbe(probeId, entry))}
        />
      )}
    </details>
  );
}

const isOfKeg = (probe: Probe): boolean => probe.of !== 'site' && !probe.of.includes('/');

function Groups({ probes: members, old }: { readonly probes: readonly Probe[]; readonly old: boolean }) {
  return (
    <>
      {groups(members).map(([of, own]) => (
        <ProbeList
          key={of}
          heading={subjectName(of)}
          probes={own}
          units={units.value}
          old={old}
          onRemove={(probe) => then(removeProbe(probe))}
          onPlace={(probeId, entry) => then(placeProbe(probeId, entry))}
        />
      ))}
    </>
  );
}

function loadAll(): void {
  void probes.load();
  void rejections.load();
  void delivery.load();
}

async function then(change: Promise<Trouble | null>): Promise<Trouble | null> {
  const trouble = await change;
  if (trouble === null) loadAll();
  return trouble;
}

function groups(list: readonly Probe[]): [of: string, probes: Probe[]][] {
  const byOf = new Map<string, Probe[]>();
  for (const probe of list) byOf.set(probe.of, [...(byOf.get(probe.of) ?? []), probe]);
  return [...byOf].sort(([a], [b]) => subjectName(a).localeCompare(subjectName(b)));
}

/** "Left keg, Wet Tuesday", "Garage fridge", "Gas", "Here". */
function subjectName(of: string): string {
  if (of === 'site') return 'Here';
  const [kind, id] = of.split('/');
  if (id !== undefined && kind === 'place') return places.value.find((place) => place.placeId === id)?.name ?? id;
  if (id !== undefined && kind === 'gas') return supplies.value.find((supply) => supply.supplyId === id)?.name ?? id;
  const keg = view.value.kegs.find((one) => one.kegId === of);
  if (keg === undefined) return of;
  return keg.batchName === null ? keg.name : `${keg.name}, ${keg.batchName}`;
}

/** "Beer temperature, left keg": a probe that is not listed is called by its id. */
function probeName(list: readonly Probe[], probeId: string): string {
  const probe = list.find((one) => one.probeId === probeId);
  return probe === undefined ? probeId : `${QUANTITY_WORD[probe.quantity]}, ${subjectName(probe.of)}`;
}

const subjects = (): Subjects => ({
  // Kegs that were only heard are among them: a topic may tell of one before it is anybody's.
  keg: view.value.kegs.map((keg) => [keg.kegId, subjectName(keg.kegId)] as const),
  place: places.value.map((place) => [`place/${place.placeId}`, place.name] as const),
  gas: supplies.value.map((supply) => [`gas/${supply.supplyId}`, supply.name] as const),
});
