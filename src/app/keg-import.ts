import type * as contract from '../contract/index.ts';
import { FIRST_PLACE, FIRST_SUPPLY, newKeg, type Place, type Supply } from '../domain/catalogue.ts';
import type { EventBody, EventSubject, KegEvent } from '../domain/event.ts';
import type { Probe } from '../domain/probe.ts';
import type { Reading } from '../domain/reading.ts';
import { coldestSafeC } from '../domain/verdict/freezing-margin.ts';
import type { NewId } from '../ports/ids.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { ProbeReading } from './decode.ts';
import { describedProbe } from './described-probe.ts';
import type { FillImport } from './fill-import.ts';
import { importReading } from './import-reading.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import type { Register } from './register.ts';
import { saidOnly } from './said-only.ts';

/** Entries may be this far ahead of our clock (ms), as when they are entered. */
export const AHEAD_MS_MAX = 5 * 60_000;

export interface KegImportOptions {
  readonly register: Register;
  readonly store: ReadingStore;
  readonly fills: Pick<FillImport, 'take'>;
  readonly nowMs: () => number;
  readonly newId: NewId;
  /** Called before readings are stored, with the time of the oldest (ms). */
  readonly beforeStoring: (oldestMs: number) => void;
  /** Called with what was stored. */
  readonly accept: (readings: readonly ProbeReading[]) => void;
}

/**
 * Takes in the past of kegs. What is here already stays as it is: nothing is overwritten, and the same portion again
 * changes nothing. Readings go into the store at once, and are answered for when they are there.
 */
export class KegImport {
  readonly #options: KegImportOptions;

  constructor(options: KegImportOptions) {
    this.#options = options;
  }

  /** Rejects if the store cannot be reached; then the same portion may be sent again. */
  async take({ about, events, fills, readings }: contract.ImportPortion): Promise<Outcome<contract.ImportOutcome>> {
    if (about !== undefined) {
      const described = this.#describe(about);
      if (!described.ok) return described;
    }
    const entered = this.#enter(events, about ?? null);
    // After the entries: those that a fill wrote come in with their own ids and times.
    const filled = this.#options.fills.take(fills, this.#options.nowMs() + AHEAD_MS_MAX);
    return done({ events: entered, fills: filled, readings: await this.#store(readings) });
  }

  /** Puts keg, place, supply and probes into the catalogue where they are not there yet. */
  #describe(about: contract.KegAbout): Outcome<null> {
    const { register } = this.#options;
    const { keg, place, supply, altitudeM } = about;
    const fresh = about.probes.filter(({ probeId }) => register.probes().every((one) => one.probeId !== probeId));
    for (const { probeId, topic, pointer } of fresh) {
      const other = register.probes().find((one) => one.topic === topic && one.pointer === pointer);
      if (other === undefined) continue;
      const detail = `The probe ${probeId} of the file reads ${topic}, which ${other.probeId} reads here. Map one of them to another topic first.`;
      return refuse('probe-conflict', detail);
    }
    const probes: Probe[] = [];
    for (const setting of fresh) {
      const probe = describedProbe(setting);
      if (probe === null) return refuse('body-invalid', `probes: ${setting.of} is nothing a probe can measure`);
      probes.push(probe);
    }
    const site = register.site();
    register.change('kegs', (catalogue) => {
      if (isUntouched(register.place(place.placeId), FIRST_PLACE)) catalogue.savePlace(place);
      if (isUntouched(register.supply(supply.supplyId), FIRST_SUPPLY)) catalogue.saveSupply(supply);
      if (register.keg(keg.kegId) === null) {
        catalogue.saveKeg({ ...keg, learnsFromMs: null });
        catalogue.saveDismissedKeg(keg.kegId, false);
      }
      if (altitudeM !== null && !site.altitudeIsSet) catalogue.saveSite({ ...site, altitudeM, altitudeIsSet: true });
    });
    if (probes.length > 0) {
      register.change('probes', (catalogue) => {
        for (const probe of probes) catalogue.saveProbe(probe);
      });
    }
    return done(null);
  }

  #enter(entries: readonly contract.ImportEvent[], about: contract.KegAbout | null): contract.ImportOutcome['events'] {
    const { register } = this.#options;
    const refused: { index: number; reason: string }[] = [];
    const here = new EntriesHere(register);
    const fresh = new Map<string, KegEvent[]>();
    let known = 0;
    for (const [index, line] of entries.entries()) {
      const event = this.#eventOf(line);
      const reason = this.#objection(event, line.keg, about);
      if (reason !== null) refused.push({ index, reason });
      else if (!here.add(event, line.eventId !== undefined)) known += 1;
      else fresh.set(line.keg, [...(fresh.get(line.keg) ?? []), event]);
    }
    for (const [kegId, events] of fresh) {
      register.changeEvents(kegId, (catalogue) => {
        if (register.keg(kegId) === null) catalogue.saveKeg(newKeg(kegId));
        for (const event of events) catalogue.saveEvent(event);
      });
    }
    const added = [...fresh.values()].flat();
    // Batches come of their fillings, so they can be described only after them.
    if (about !== null) this.#nameBatches(about, added);
    return { added: added.length, known, refused };
  }

  #eventOf({ keg, eventId, enteredAt, entry }: contract.ImportEvent): KegEvent {
    const { nowMs, newId } = this.#options;
    const { at, place, supply, ...body } = entry;
    const subject: EventSubject =
      place !== undefined
        ? { kind: 'place', id: place }
        : supply !== undefined
          ? { kind: 'supply', id: supply }
          : { kind: 'keg', id: keg };
    const enteredAtMs = enteredAt === undefined ? nowMs() : Date.parse(enteredAt);
    return { eventId: eventId ?? newId(), subject, atMs: Date.parse(at), enteredAtMs, body: body as EventBody };
  }

  #objection({ atMs, body, subject }: KegEvent, kegId: string, about: contract.KegAbout | null): string | null {
    const { register, nowMs } = this.#options;
    if (atMs > nowMs() + AHEAD_MS_MAX) return 't: this entry lies in the future; enter what has happened';
    if (subject.kind === 'place' && register.place(subject.id) === null)
      return `place: there is no place ${subject.id} here; add it before importing`;
    if (subject.kind === 'supply' && register.supply(subject.id) === null)
      return `supply: there is no gas supply ${subject.id} here; add it before importing`;
    if (body.kind === 'keg-filled' && body.beerLitres > body.totalLitres)
      return `beerLitres: ${body.beerLitres} L of beer do not go into a keg of ${body.totalLitres} L`;
    if (body.kind !== 'target-set' || body.celsius === undefined) return null;
    const beers = [...(about?.batches ?? []), ...register.batches().filter((batch) => batch.kegId === kegId)];
    const strengths = beers.flatMap(({ abvPercent }) => abvPercent ?? []);
    const coldestC = coldestSafeC(strengths.length === 0 ? null : Math.max(...strengths));
    return body.celsius < coldestC ? `celsius: colder than ${coldestC.toFixed(1)} °C this beer may freeze` : null;
  }

  /** The file's descriptions of batches that began with an entry of this import. */
  #nameBatches({ keg, batches }: contract.KegAbout, added: readonly KegEvent[]): void {
    const { register } = this.#options;
    const begun = new Set(added.map(({ eventId }) => eventId));
    const described = batches.flatMap((description) => {
      const batch = begun.has(description.batchId) ? register.batch(description.batchId) : null;
      return batch !== null && batch.kegId === keg.kegId
        ? { ...batch, ...description, limits: saidOnly(description.limits) }
        : [];
    });
    if (described.length === 0) return;
    register.change('kegs', (catalogue) => {
      for (const batch of described) catalogue.saveBatch(batch);
    });
  }

  async #store(lines: readonly contract.ImportReading[]): Promise<contract.ImportOutcome['readings']> {
    const { register, store, nowMs, beforeStoring, accept } = this.#options;
    const refused: { index: number; reason: string }[] = [];
    const good: ProbeReading[] = [];
    const places = new Map<Reading, number>();
    for (const [index, line] of lines.entries()) {
      const whereabouts = register.keg(line.keg) ?? newKeg(line.keg);
      const imported = importReading(line, whereabouts, register.directory(), nowMs());
      if (!imported.ok) {
        refused.push({ index, reason: imported.reason });
        continue;
      }
      places.set(imported.reading, index);
      good.push({ probe: imported.probe, reading: imported.reading, live: false });
    }
    if (good.length === 0) return { stored: 0, duplicates: 0, refused };
    beforeStoring(
      good.reduce((oldest, { reading }) => Math.min(oldest, reading.measuredAtMs), Number.MAX_SAFE_INTEGER),
    );
    const outcome = await store.append(good.map(({ reading }) => reading));
    for (const { reading, reason } of outcome.refused) refused.push({ index: places.get(reading) ?? 0, reason });
    accept(good);
    return { stored: outcome.stored, duplicates: outcome.duplicates, refused };
  }
}

/** The entries that are here, and those that an import adds. */
class EntriesHere {
  readonly #register: Register;
  readonly #ids = new Set<string>();
  /** What the entries of each subject say. */
  readonly #said = new Map<string, Set<string>>();

  constructor(register: Register) {
    this.#register = register;
  }

  /** False if it is here already: by its id, or, where the file gives none, by what it says. */
  add(event: KegEvent, hasOwnId: boolean): boolean {
    const { eventId, subject } = event;
    const said = this.#saidOf(subject);
    const text = saying(event);
    if (hasOwnId ? this.#ids.has(eventId) || this.#register.event(eventId) !== null : said.has(text)) return false;
    this.#ids.add(eventId);
    said.add(text);
    return true;
  }

  #saidOf(subject: EventSubject): Set<string> {
    const key = `${subject.kind}/${subject.id}`;
    const known = this.#said.get(key);
    if (known !== undefined) return known;
    const nobody = { ...newKeg(''), placeId: '', supplyId: '' };
    const field = { keg: 'kegId', place: 'placeId', supply: 'supplyId' } as const;
    const events = this.#register.eventsOf({ ...nobody, [field[subject.kind]]: subject.id });
    const said = new Set(events.map(saying));
    this.#said.set(key, said);
    return said;
  }
}

/** Not there, or as it was from the start: nobody has said anything of it. */
function isUntouched<T extends Place | Supply>(known: T | null, first: T): boolean {
  return known === null || JSON.stringify(known) === JSON.stringify(first);
}

/** What an entry says, whenever it was entered. */
function saying({ subject, atMs, body }: KegEvent): string {
  const fields = Object.entries(body).toSorted(([a], [b]) => (a < b ? -1 : 1));
  return JSON.stringify([subject.kind, subject.id, atMs, fields]);
}
