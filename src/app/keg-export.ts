import type * as contract from '../contract/index.ts';
import { type Keg, newKeg } from '../domain/catalogue.ts';
import type { KegEvent } from '../domain/event.ts';
import type { Probe } from '../domain/probe.ts';
import { type Subject, subjectPath } from '../domain/topic.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import { type FillShelf, fillLinesOf } from './fill-lines.ts';
import { type PastReading, pastReadings } from './past-readings.ts';
import { instant } from './present.ts';
import type { Register } from './register.ts';

export interface ExportSpan {
  readonly fromMs: number;
  readonly toMs: number;
}

/** All that is known of one keg, for a file. */
export interface KegPast {
  readonly keg: Keg;
  readonly about: contract.KegAbout;
  /** Entries that bear on it, its place's and supply's included, from the very first: what was set long ago still holds. */
  readonly events: readonly KegEvent[];
  /** Its fills with their bottles, and its kept plans. */
  readonly fills: readonly contract.TransferFillLine[];
  /** Times between which its readings lie; null if it has none in the span. */
  readonly extent: ExportSpan | null;
  /** Readings of its probes at any time, those of which only the minute is kept among them. */
  readonly everHeard: number;
  /** Raw values of its probes, its place's, its supply's and the site's, in portions. Rejects if the store does. */
  readonly readings: () => AsyncGenerator<readonly PastReading[]>;
}

/** Gathers what is known of kegs, to be taken elsewhere or replayed. */
export class KegExport {
  readonly #register: Register;
  readonly #store: ReadingStore;
  readonly #shelf: FillShelf;

  constructor(register: Register, store: ReadingStore, shelf: FillShelf) {
    this.#shelf = shelf;
    this.#register = register;
    this.#store = store;
  }

  /** Null if nothing is known of such a keg. Rejects if the store cannot be reached. */
  async past(kegId: string, { fromMs, toMs }: ExportSpan): Promise<KegPast | null> {
    const known = this.#register.keg(kegId);
    const keg = known ?? newKeg(kegId);
    const events = this.#register.eventsOf(keg).filter(({ atMs }) => atMs < toMs);
    const extents = await this.#extentsOf(keg);
    const probes = extents.map(({ probe }) => probe);
    const isHeard = probes.some(({ subject }) => subject.kind === 'keg');
    if (known === null && !isHeard && !events.some(({ subject }) => subject.kind === 'keg')) return null;
    const everHeard = extents.reduce((sum, { count }) => sum + count, 0);
    const readings = () => pastReadings(this.#store, probes, fromMs, toMs);
    const extent = withinSpan(extents, { fromMs, toMs });
    const fills = fillLinesOf(this.#shelf, kegId, toMs);
    return { keg, about: this.#about(keg), events, fills, extent, everHeard, readings };
  }

  /** Kegs that can be named instead of one that is not known. */
  kegIds(): readonly string[] {
    return this.#register.kegs().map(({ kegId }) => kegId);
  }

  async #extentsOf(keg: Keg): Promise<readonly ProbeExtent[]> {
    const subjects = subjectsOf(keg);
    const directory = this.#register.directory();
    const extents = await this.#store.extents();
    return extents.flatMap(({ probeId, ...extent }) => {
      const probe = directory.byId(probeId);
      return probe !== null && subjects.has(subjectPath(probe.subject)) ? { probe, ...extent } : [];
    });
  }

  #about(keg: Keg): contract.KegAbout {
    const register = this.#register;
    const { altitudeM, altitudeIsSet } = register.site();
    const place = register.place(keg.placeId) ?? { placeId: keg.placeId, name: keg.placeId };
    const supply = register.supply(keg.supplyId);
    const subjects = subjectsOf(keg);
    return {
      format: 1,
      keg: { ...keg },
      place: { ...place },
      supply: supply ?? { supplyId: keg.supplyId, name: keg.supplyId, co2Ratio: 1, cylinderKg: null },
      altitudeM: altitudeIsSet ? altitudeM : null,
      batches: register
        .batches()
        .filter(({ kegId }) => kegId === keg.kegId)
        .map(({ batchId, name, style, abvPercent, originalExtractPlato, brewId, limits }) => {
          return { batchId, name, style, abvPercent, originalExtractPlato, brewId, limits: { ...limits } };
        }),
      probes: register
        .probes()
        .filter(({ subject }) => subjects.has(subjectPath(subject)))
        .toSorted((a, b) => (a.probeId < b.probeId ? -1 : 1))
        .map(describeProbe),
    };
  }
}

interface ProbeExtent {
  readonly probe: Probe;
  readonly firstMs: number;
  readonly lastMs: number;
  readonly count: number;
}

function withinSpan(extents: readonly ProbeExtent[], span: ExportSpan): ExportSpan | null {
  const fromMs = Math.max(span.fromMs, Math.min(...extents.map(({ firstMs }) => firstMs)));
  const toMs = Math.min(span.toMs, Math.max(...extents.map(({ lastMs }) => lastMs + 1)));
  return fromMs < toMs ? { fromMs, toMs } : null;
}

/** What bears on a keg: itself, its place, its gas supply, and the site. */
function subjectsOf({ kegId, placeId, supplyId }: Keg): ReadonlySet<string> {
  const subjects: readonly Subject[] = [
    { kind: 'keg', id: kegId },
    { kind: 'place', id: placeId },
    { kind: 'supply', id: supplyId },
    { kind: 'site' },
  ];
  return new Set(subjects.map(subjectPath));
}

function describeProbe({ subject, calibration, ...probe }: Probe): contract.KegAbout['probes'][number] {
  return {
    probeId: probe.probeId,
    topic: probe.topic,
    pointer: probe.pointer,
    unit: probe.unit as contract.ProbeSetting['unit'],
    quantity: probe.quantity,
    of: subjectPath(subject),
    reference: probe.reference,
    place: probe.place,
    timeUnit: probe.timeUnit,
    availability: probe.availability === null ? null : { ...probe.availability },
    calibration: calibration.map(({ fromMs, offset, gain }) => ({ from: instant(fromMs), offset, gain })),
  };
}
