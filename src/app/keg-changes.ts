import type { Batch, BatchDescription, BatchStart, EventEntry, Keg, KegChange, KeptEvent } from '../contract/index.ts';
import { batchSpans } from '../domain/batches.ts';
import { newKeg } from '../domain/catalogue.ts';
import { type EventBody, type EventSubject, inOrder, type KegEvent } from '../domain/event.ts';
import { isKegId } from '../domain/topic.ts';
import { coldestSafeC } from '../domain/verdict/freezing-margin.ts';
import type { Clock } from '../ports/clock.ts';
import type { NewId } from '../ports/ids.ts';
import { full } from './limits.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import { presentBatch, presentEvent, presentKeg } from './present.ts';
import type { Register } from './register.ts';
import { saidOnly } from './said-only.ts';

/** Beer in a keg of which only the brim-full volume is told. Common practice, no source: a little gas room is left. */
const USUAL_FILL_RATIO = 0.97;
/** Entries may be this far ahead of our clock (ms): a phone's clock runs fast. */
const AHEAD_MS_MAX = 5 * 60_000;

/** Changes of kegs, what was done to them, and what is in them. */
export class KegChanges {
  readonly #register: Register;
  readonly #clock: Clock;
  readonly #newId: NewId;

  constructor(register: Register, clock: Clock, newId: NewId) {
    this.#register = register;
    this.#clock = clock;
    this.#newId = newId;
  }

  /** Puts a keg into the catalogue, or changes it; a suggested keg is adopted with all its readings. */
  putKeg(kegId: string, change: KegChange): Outcome<Keg> {
    if (!isKegId(kegId))
      return refuse('body-invalid', `${kegId} can be no keg id: use a-z, 0-9 and -, not place, gas or site`);
    const there = this.#register.keg(kegId);
    const tooMany = there === null ? full('kegs', this.#register.kegs().length, 'kegs') : null;
    if (tooMany !== null) return tooMany;
    const known = there ?? newKeg(kegId);
    const keg = {
      ...known,
      name: change.name ?? known.name,
      capacityL: change.capacityL ?? known.capacityL,
      diameterMetres: change.diameterMetres === undefined ? known.diameterMetres : change.diameterMetres,
      workingKpaGaugeMax:
        change.workingKpaGaugeMax === undefined ? known.workingKpaGaugeMax : change.workingKpaGaugeMax,
      placeId: change.placeId ?? known.placeId,
      supplyId: change.supplyId ?? known.supplyId,
    };
    if (this.#register.place(keg.placeId) === null)
      return refuse('place-unknown', `There is no place ${keg.placeId}. Add it first.`);
    if (this.#register.supply(keg.supplyId) === null) {
      return refuse('supply-unknown', `There is no gas supply ${keg.supplyId}. Add it first.`);
    }
    this.#register.change('kegs', (catalogue) => {
      catalogue.saveKeg(keg);
      catalogue.saveDismissedKeg(kegId, false);
    });
    return done(presentKeg(keg, this.#register.batchAt(kegId, this.#clock.nowMs())));
  }

  /** Takes a keg out of the catalogue; of a suggested one we speak no more. Readings and entries stay. */
  deleteKeg(kegId: string, heardOf: boolean): Outcome<null> {
    if (this.#register.keg(kegId) === null && !heardOf) return refuse('keg-unknown', `There is no keg ${kegId}.`);
    this.#register.change('kegs', (catalogue) => {
      catalogue.removeKeg(kegId);
      catalogue.saveDismissedKeg(kegId, true);
    });
    return done(null);
  }

  addEvent(kegId: string, entry: EventEntry): Outcome<KeptEvent> {
    const keg = this.#register.keg(kegId);
    const entries = keg === null ? 0 : this.#register.eventsOf(keg).length;
    return full('entriesOfKeg', entries, 'entries of this keg') ?? this.#saveEvent(kegId, this.#newId(), entry);
  }

  correctEvent(kegId: string, eventId: string, entry: EventEntry): Outcome<KeptEvent> {
    const known = this.#eventOf(kegId, eventId);
    return known === null ? this.#unknownEvent(kegId, eventId) : this.#saveEvent(kegId, eventId, entry);
  }

  withdrawEvent(kegId: string, eventId: string): Outcome<null> {
    if (this.#eventOf(kegId, eventId) === null) return this.#unknownEvent(kegId, eventId);
    this.#register.changeEvents(kegId, (catalogue) => catalogue.removeEvent(eventId));
    return done(null);
  }

  /** A filling, with what was filled. */
  startBatch(kegId: string, start: BatchStart): Outcome<Batch> {
    const keg = this.#register.keg(kegId);
    if (keg === null) return this.#unknownKeg(kegId);
    const { at, name, style, abvPercent, originalExtractPlato, brewId, totalLitres, beerLitres, ...facts } = start;
    const nowMs = this.#clock.nowMs();
    const atMs = at === undefined ? nowMs : Date.parse(at);
    if (atMs > nowMs + AHEAD_MS_MAX) return this.#ahead(at ?? '');
    const open = this.#register.batchAt(kegId, atMs);
    if (open !== null) {
      return refuse(
        'batch-open',
        `${keg.name} holds ${open.name} at that time. Enter that it was emptied, then start the next.`,
      );
    }
    const total = totalLitres ?? keg.capacityL;
    const beer = beerLitres ?? total * USUAL_FILL_RATIO;
    if (beer > total) return refuse('body-invalid', `${beer} L of beer do not go into a keg of ${total} L.`);
    const eventId = this.#newId();
    const body: EventBody = { kind: 'keg-filled', ...facts, totalLitres: total, beerLitres: beer };
    this.#register.changeEvents(kegId, (catalogue) => {
      catalogue.saveEvent({ eventId, subject: { kind: 'keg', id: kegId }, atMs, enteredAtMs: nowMs, body });
    });
    const described = this.describeBatch(eventId, { name, style, abvPercent, originalExtractPlato, brewId });
    return described.ok
      ? described
      : refuse('batch-open', `${keg.name} was not empty at that time: its batches would overlap.`);
  }

  describeBatch(batchId: string, change: BatchDescription): Outcome<Batch> {
    const known = this.#register.batch(batchId);
    if (known === null) return refuse('batch-unknown', `There is no batch ${batchId}.`);
    const batch = {
      ...known,
      name: change.name ?? known.name,
      style: change.style === undefined ? known.style : change.style,
      abvPercent: change.abvPercent === undefined ? known.abvPercent : change.abvPercent,
      originalExtractPlato:
        change.originalExtractPlato === undefined ? known.originalExtractPlato : change.originalExtractPlato,
      brewId: change.brewId === undefined ? known.brewId : change.brewId,
      limits: change.limits === undefined ? known.limits : saidOnly(change.limits),
    };
    this.#register.change('kegs', (catalogue) => catalogue.saveBatch(batch));
    return done(presentBatch(batch));
  }

  #saveEvent(kegId: string, eventId: string, entry: EventEntry): Outcome<KeptEvent> {
    const keg = this.#register.keg(kegId);
    if (keg === null) return this.#unknownKeg(kegId);
    const { at, place, supply, ...body } = entry;
    const atMs = Date.parse(at);
    const nowMs = this.#clock.nowMs();
    if (atMs > nowMs + AHEAD_MS_MAX) return this.#ahead(at);
    if (place !== undefined && this.#register.place(place) === null)
      return refuse('place-unknown', `There is no place ${place}.`);
    if (supply !== undefined && this.#register.supply(supply) === null) {
      return refuse('supply-unknown', `There is no gas supply ${supply}.`);
    }
    const subject: EventSubject =
      place !== undefined
        ? { kind: 'place', id: place }
        : supply !== undefined
          ? { kind: 'supply', id: supply }
          : { kind: 'keg', id: kegId };
    if (body.kind === 'keg-filled' && body.beerLitres > body.totalLitres) {
      return refuse('body-invalid', `${body.beerLitres} L of beer do not go into a keg of ${body.totalLitres} L.`);
    }
    if (body.kind === 'target-set' && body.celsius !== undefined) {
      const coldestC = coldestSafeC(this.#register.batchAt(kegId, atMs)?.abvPercent ?? null);
      if (body.celsius < coldestC) {
        const detail = `The fill temperature must be at least ${coldestC.toFixed(1)} °C: colder, this beer may freeze.`;
        return refuse('event-misplaced', detail);
      }
    }
    const event: KegEvent = { eventId, subject, atMs, enteredAtMs: nowMs, body };
    const fits = this.#fitsBatches(kegId, event);
    if (fits !== null) return refuse('event-misplaced', fits);
    this.#register.changeEvents(kegId, (catalogue) => catalogue.saveEvent(event));
    return done(presentEvent(event));
  }

  /** Why an emptying would empty nothing; null if the entry fits. */
  #fitsBatches(kegId: string, event: KegEvent): string | null {
    const keg = this.#register.keg(kegId);
    if (keg === null || event.body.kind !== 'keg-emptied') return null;
    const others = this.#register.eventsOf(keg).filter(({ eventId }) => eventId !== event.eventId);
    const before = batchSpans(inOrder(others.filter(({ atMs }) => atMs <= event.atMs)));
    return before.at(-1)?.endedAtMs === null ? null : `${keg.name} was empty at that time already.`;
  }

  #eventOf(kegId: string, eventId: string): KegEvent | null {
    const keg = this.#register.keg(kegId);
    return keg === null ? null : (this.#register.eventsOf(keg).find((event) => event.eventId === eventId) ?? null);
  }

  #unknownKeg(kegId: string) {
    return refuse('keg-unknown', `There is no keg ${kegId} in the catalogue. Add it with PUT /api/v1/kegs/${kegId}.`);
  }

  #unknownEvent(kegId: string, eventId: string) {
    if (this.#register.keg(kegId) === null) return this.#unknownKeg(kegId);
    return refuse('event-unknown', `The keg ${kegId} has no event ${eventId}.`);
  }

  #ahead(at: string) {
    return refuse('body-invalid', `The time ${at} lies in the future. Enter what has happened.`);
  }
}
