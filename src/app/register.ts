import { batchOf, batchSpans } from '../domain/batches.ts';
import type { Batch, Keg, Place, Site, Supply } from '../domain/catalogue.ts';
import { inOrder, type KegEvent } from '../domain/event.ts';
import { type KegFacts, kegFactsAt } from '../domain/keg-facts.ts';
import { type Probe, type ProbeDirectory, probeDirectory } from '../domain/probe.ts';
import type { Catalogue } from '../ports/catalogue.ts';

/** What has changed, for those who compute from it. */
export type RegisterChange = 'kegs' | 'probes';

/**
 * The catalogue in memory: read once, written through. Reading it costs nothing, so the live computation may do so at
 * every step.
 */
export class Register {
  readonly #catalogue: Catalogue;
  readonly #listeners: ((change: RegisterChange) => void)[] = [];
  readonly #settingsAltitudeM: number | null;
  #site: Site;
  #places: ReadonlyMap<string, Place> = new Map();
  #supplies: ReadonlyMap<string, Supply> = new Map();
  #kegs: ReadonlyMap<string, Keg> = new Map();
  #batches: readonly Batch[] = [];
  #events: ReadonlyMap<string, readonly KegEvent[]> = new Map();
  /** What was put together of them already, by keg, place and supply. */
  readonly #eventsOfKegs = new Map<string, readonly KegEvent[]>();
  #dismissed: ReadonlySet<string> = new Set();
  #probes: readonly Probe[] = [];
  #directory: ProbeDirectory = probeDirectory([]);

  /** `altitudeM` is the altitude from the settings; it holds until somebody enters one. */
  constructor(catalogue: Catalogue, altitudeM: number | null) {
    this.#catalogue = catalogue;
    this.#settingsAltitudeM = altitudeM;
    this.#site = catalogue.site();
    this.#load();
  }

  #load(): void {
    const catalogue = this.#catalogue;
    const site = catalogue.site();
    const useSetting = !site.altitudeIsSet && this.#settingsAltitudeM !== null;
    this.#site = useSetting ? { ...site, altitudeM: this.#settingsAltitudeM ?? 0, altitudeIsSet: true } : site;
    this.#places = new Map(catalogue.places().map((place) => [place.placeId, place]));
    this.#supplies = new Map(catalogue.supplies().map((supply) => [supply.supplyId, supply]));
    this.#kegs = new Map(catalogue.kegs().map((keg) => [keg.kegId, keg]));
    this.#batches = catalogue.batches().filter((batch) => !isSwallowed(batch));
    this.#events = Map.groupBy(catalogue.events(), ({ subject }) => `${subject.kind}/${subject.id}`);
    this.#eventsOfKegs.clear();
    this.#dismissed = new Set(catalogue.dismissedKegs());
    this.#probes = catalogue.probes();
    this.#directory = probeDirectory(this.#probes);
  }

  /** Calls `listener` after every change. */
  onChange(listener: (change: RegisterChange) => void): void {
    this.#listeners.push(listener);
  }

  /** Writes to the catalogue as one, reads it anew, and tells the listeners. */
  change(what: RegisterChange, write: (catalogue: Catalogue) => void): void {
    this.#catalogue.together(() => write(this.#catalogue));
    this.#load();
    for (const listener of this.#listeners) listener(what);
  }

  /** Writes to the catalogue, and to what shares its file, as one. Nobody is told: that is for whoever changes entries after it. */
  together(write: (catalogue: Catalogue) => void): void {
    this.#catalogue.together(() => write(this.#catalogue));
  }

  /** As `change`, for entries of a keg: its batches follow its fillings and emptyings. */
  changeEvents(kegId: string, write: (catalogue: Catalogue) => void): void {
    this.change('kegs', (catalogue) => {
      write(catalogue);
      const events = catalogue.events().filter(({ subject }) => subject.kind === 'keg' && subject.id === kegId);
      const spans = batchSpans(inOrder(events));
      const known = catalogue.batches().filter((batch) => batch.kegId === kegId);
      const fillings = new Set(events.flatMap(({ body, eventId }) => (body.kind === 'keg-filled' ? eventId : [])));
      for (const batch of known) {
        if (spans.some((span) => span.batchId === batch.batchId)) continue;
        if (fillings.has(batch.batchId)) catalogue.saveBatch(swallowed(batch));
        else catalogue.removeBatch(batch.batchId);
      }
      for (const span of spans) {
        catalogue.saveBatch(
          batchOf(
            kegId,
            span,
            known.find((batch) => batch.batchId === span.batchId),
          ),
        );
      }
    });
  }

  site(): Site {
    return this.#site;
  }

  places(): readonly Place[] {
    return [...this.#places.values()];
  }

  place(placeId: string): Place | null {
    return this.#places.get(placeId) ?? null;
  }

  supplies(): readonly Supply[] {
    return [...this.#supplies.values()];
  }

  supply(supplyId: string): Supply | null {
    return this.#supplies.get(supplyId) ?? null;
  }

  kegs(): readonly Keg[] {
    return [...this.#kegs.values()];
  }

  keg(kegId: string): Keg | null {
    return this.#kegs.get(kegId) ?? null;
  }

  isDismissed(kegId: string): boolean {
    return this.#dismissed.has(kegId);
  }

  batches(): readonly Batch[] {
    return this.#batches;
  }

  batch(batchId: string): Batch | null {
    return this.#batches.find((batch) => batch.batchId === batchId) ?? null;
  }

  /** The batch that a keg holds at a moment. */
  batchAt(kegId: string, atMs: number): Batch | null {
    const holds = ({ beganAtMs, endedAtMs }: Batch) => beganAtMs <= atMs && (endedAtMs === null || endedAtMs > atMs);
    return this.#batches.find((batch) => batch.kegId === kegId && holds(batch)) ?? null;
  }

  /** All entries that hold for a keg, its place's and gas supply's included, in order. */
  eventsOf({ kegId, placeId, supplyId }: Keg): readonly KegEvent[] {
    const key = `${kegId}/${placeId}/${supplyId}`;
    const known = this.#eventsOfKegs.get(key);
    if (known !== undefined) return known;
    const of = (subject: string) => this.#events.get(subject) ?? [];
    const events = inOrder([...of(`keg/${kegId}`), ...of(`place/${placeId}`), ...of(`supply/${supplyId}`)]);
    this.#eventsOfKegs.set(key, events);
    return events;
  }

  event(eventId: string): KegEvent | null {
    for (const events of this.#events.values()) {
      const found = events.find((event) => event.eventId === eventId);
      if (found !== undefined) return found;
    }
    return null;
  }

  factsOf(keg: Keg, atMs: number): KegFacts {
    return kegFactsAt(this.eventsOf(keg), atMs);
  }

  /** Probes that somebody mapped or calibrated. */
  probes(): readonly Probe[] {
    return this.#probes;
  }

  directory(): ProbeDirectory {
    return this.#directory;
  }
}

/**
 * A filling that an earlier one has made a topping-up, because its emptying is not entered yet. It is kept, as a batch that
 * ended before it began, so that its description is there again when the emptying is.
 */
function swallowed(batch: Batch): Batch {
  return { ...batch, endedAtMs: batch.beganAtMs - 1 };
}

function isSwallowed({ beganAtMs, endedAtMs }: Batch): boolean {
  return endedAtMs !== null && endedAtMs < beganAtMs;
}
