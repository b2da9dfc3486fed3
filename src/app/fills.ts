import type * as contract from '../contract/index.ts';
import { newKeg } from '../domain/catalogue.ts';
import {
  type Fill,
  type FilledBottle,
  type FillRecord,
  fillEventIds,
  fillEvents,
  TASTE_AFTER_DAYS,
  type Tasting,
} from '../domain/fill/fill.ts';
import type { Clock } from '../ports/clock.ts';
import type { FillBook } from '../ports/fill-book.ts';
import type { NewId } from '../ports/ids.ts';
import type { Log } from '../ports/log.ts';
import { type ConditionSources, conditionsAt } from './fill-conditions.ts';
import type { KegEstimates } from './keg-estimates.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import { type FillContext, presentFill, presentFillSummary } from './present-fill.ts';
import type { Register } from './register.ts';

export interface FillsOptions extends ConditionSources {
  readonly register: Register;
  readonly book: FillBook;
  readonly estimates: Pick<KegEstimates, 'isPending'>;
  readonly clock: Clock;
  readonly newId: NewId;
  readonly log: Log;
}

export interface FillFilter {
  readonly kegId?: string | undefined;
  readonly batchId?: string | undefined;
  readonly open?: boolean | undefined;
}

/**
 * Fills and their bottles. Every change may be repeated without harm, because a phone in a cellar cannot know whether its
 * request was taken. A fill's events of the keg are written with it, as one.
 */
export class Fills {
  readonly #options: FillsOptions;
  #trouble = false;

  constructor(options: FillsOptions) {
    this.#options = options;
  }

  async start(entry: contract.FillStart): Promise<Outcome<contract.Fill>> {
    const { register, book, newId } = this.#options;
    const { kegId } = entry;
    const fillId = entry.fillId ?? newId();
    const known = book.record(fillId);
    if (known !== null) {
      if (known.fill.kegId === kegId) return done(await this.#told(known));
      return refuse('fill-open', `The fill ${fillId} is one of the keg ${known.fill.kegId}. Use another id.`);
    }
    const keg = register.keg(kegId);
    if (keg === null) return refuse('keg-unknown', `There is no keg ${kegId} in the catalogue.`);
    const startedAtMs = this.#notAhead(entry.startedAt);
    if (register.batchAt(kegId, startedAtMs) === null)
      return refuse('event-misplaced', `${keg.name} holds no beer at that time. Enter what is in it first.`);
    const open = book.records().find(({ fill }) => fill.kegId === kegId && fill.endedAtMs === null);
    if (open !== undefined)
      return refuse('fill-open', `Bottles are being filled from ${keg.name} already: fill ${open.fill.fillId}.`);
    const fill: Fill = {
      fillId,
      kegId,
      startedAtMs,
      endedAtMs: null,
      planned: entry.planned ?? [],
      line: register.site().line,
      lostL: 0,
      remark: null,
      tasteAfterDays: TASTE_AFTER_DAYS,
    };
    this.#save(fill, () => book.saveFill(fill));
    return this.fill(fillId);
  }

  list({ kegId, batchId, open }: FillFilter): contract.FillSummary[] {
    return this.#options.book
      .records()
      .map((record) => presentFillSummary(record, this.contextOf(record)))
      .filter((fill) => kegId === undefined || fill.kegId === kegId)
      .filter((fill) => batchId === undefined || fill.batchId === batchId)
      .filter((fill) => open === undefined || (fill.endedAt === null) === open);
  }

  async fill(fillId: string): Promise<Outcome<contract.Fill>> {
    const record = this.#options.book.record(fillId);
    return record === null ? this.#unknown(fillId) : done(await this.#told(record));
  }

  async change(fillId: string, change: contract.FillChange): Promise<Outcome<contract.Fill>> {
    const { book } = this.#options;
    const known = book.record(fillId)?.fill;
    if (known === undefined) return this.#unknown(fillId);
    const { endedAt } = change;
    const endedAtMs = endedAt === undefined ? known.endedAtMs : endedAt === null ? null : this.#notAhead(endedAt);
    if (endedAtMs !== null && endedAtMs < known.startedAtMs)
      return refuse('body-invalid', 'endedAt: a fill ends after it began.');
    const fill: Fill = {
      ...known,
      endedAtMs,
      planned: change.planned ?? known.planned,
      lostL: change.lostL ?? known.lostL,
      remark: change.remark === undefined ? known.remark : change.remark,
      tasteAfterDays: change.tasteAfterDays === undefined ? known.tasteAfterDays : change.tasteAfterDays,
    };
    this.#save(fill, () => book.saveFill(fill));
    return this.fill(fillId);
  }

  async putBottle(
    fillId: string,
    bottleId: string,
    entry: contract.BottleEntry,
  ): Promise<Outcome<contract.FilledBottle>> {
    const { book } = this.#options;
    const record = book.record(fillId);
    if (record === null) return this.#unknown(fillId);
    if (book.wasRemoved(fillId, bottleId))
      return refuse('bottle-removed', `Bottle ${bottleId} was taken back. A new bottle needs an id of its own.`);
    const known = record.bottles.find((bottle) => bottle.bottleId === bottleId);
    const sizeL = entry.sizeL ?? known?.sizeL;
    if (sizeL === undefined) return refuse('body-invalid', 'sizeL: a new bottle needs its size in litres.');
    const filledAtMs =
      entry.filledAt === undefined && known !== undefined ? known.filledAtMs : this.#notAhead(entry.filledAt);
    const bottle: FilledBottle = {
      bottleId,
      number: known?.number ?? book.nextNumber(fillId),
      sizeL,
      note: entry.note ?? known?.note ?? 'clean',
      remark: entry.remark === undefined ? (known?.remark ?? null) : entry.remark,
      filledAtMs,
      conditions: known?.filledAtMs === filledAtMs ? known.conditions : null,
      destination: entry.destination ?? known?.destination ?? 'kept',
      destinationText: entry.destinationText === undefined ? (known?.destinationText ?? null) : entry.destinationText,
      tasting: this.#tasting(entry.tasting, known),
    };
    this.#save(record.fill, () => book.saveBottle(fillId, bottle));
    const told = await this.fill(fillId);
    const kept = told.ok ? told.value.bottles.find((one) => one.bottleId === bottleId) : undefined;
    return kept === undefined ? refuse('bottle-removed', `Bottle ${bottleId} was taken back meanwhile.`) : done(kept);
  }

  removeBottle(fillId: string, bottleId: string): Outcome<null> {
    const { book } = this.#options;
    const record = book.record(fillId);
    if (record === null) return this.#unknown(fillId);
    if (book.wasRemoved(fillId, bottleId)) return done(null);
    if (!record.bottles.some((bottle) => bottle.bottleId === bottleId))
      return refuse('bottle-unknown', `The fill ${fillId} has no bottle ${bottleId}.`);
    this.#save(record.fill, () => book.removeBottle(fillId, bottleId));
    return done(null);
  }

  /** What the catalogue says around a fill: its batch, the beer and the rest before it. */
  contextOf({ fill }: FillRecord): FillContext {
    const { register } = this.#options;
    const keg = register.keg(fill.kegId) ?? newKeg(fill.kegId);
    const { beer, rest } = register.factsOf(keg, fill.startedAtMs);
    return {
      batch: register.batchAt(fill.kegId, fill.startedAtMs),
      beerAtStartL: beer === null ? null : Math.max(0, beer.filledLitres - beer.drawnLitres),
      restHours: rest === null ? null : (fill.startedAtMs - rest.sinceMs) / 3_600_000,
    };
  }

  #tasting(entry: contract.BottleEntry['tasting'], known: FilledBottle | undefined): Tasting | null {
    if (entry === undefined) return known?.tasting ?? null;
    if (entry === null) return null;
    return { atMs: this.#notAhead(entry.at), text: entry.text, opinion: entry.opinion ?? null };
  }

  /** A phone's clock may run fast; a bottle must not be refused for that, so what lies ahead of us is now. */
  #notAhead(instant: string | undefined): number {
    const nowMs = this.#options.clock.nowMs();
    return instant === undefined ? nowMs : Math.min(nowMs, Date.parse(instant));
  }

  /** Writes to the book, and what then follows for the keg's events, as one. */
  #save({ fillId, kegId }: Pick<Fill, 'fillId' | 'kegId'>, write: () => void): void {
    const { register, book, clock } = this.#options;
    const before = book.record(fillId);
    const wanted = before === null ? '' : JSON.stringify(fillEvents(before));
    let isSame = false;
    const enteredAtMs = clock.nowMs();
    const subject = { kind: 'keg', id: kegId } as const;
    register.together((catalogue) => {
      write();
      const after = book.record(fillId);
      const events = after === null ? [] : fillEvents(after);
      isSame = JSON.stringify(events) === wanted;
      if (isSame) return;
      const keptIds = new Set(events.map(({ eventId }) => eventId));
      for (const eventId of Object.values(fillEventIds(fillId)))
        if (!keptIds.has(eventId)) catalogue.removeEvent(eventId);
      for (const event of events) catalogue.saveEvent({ ...event, subject, enteredAtMs });
    });
    // The estimates begin anew from what changed; a bottle of an open fill changes nothing for them.
    if (!isSame) register.changeEvents(kegId, () => undefined);
  }

  async #told(record: FillRecord): Promise<contract.Fill> {
    const current = await this.recalled(record);
    return presentFill(current, this.contextOf(current));
  }

  /** A fill with what the keg was like at its bottles, which is looked up and kept where it is missing. */
  async recalled(record: FillRecord): Promise<FillRecord> {
    const { fillId, kegId } = record.fill;
    // What is found while the keg's past is still computed would be kept with holes for ever.
    const isEarly = this.#options.estimates.isPending(kegId);
    const missing = isEarly ? [] : record.bottles.filter(({ conditions }) => conditions === null);
    for (const { bottleId, filledAtMs } of missing) {
      const conditions = await this.#conditions(kegId, filledAtMs);
      if (conditions === null) break;
      // It may have been changed or taken back meanwhile.
      const now = this.#options.book.record(fillId)?.bottles.find((bottle) => bottle.bottleId === bottleId);
      if (now?.filledAtMs === filledAtMs) this.#options.book.saveBottle(fillId, { ...now, conditions });
    }
    return this.#options.book.record(fillId) ?? record;
  }

  /** Null if the store does not answer: then it is tried again with the next question. */
  async #conditions(kegId: string, atMs: number) {
    try {
      const found = await conditionsAt(this.#options, kegId, atMs, this.#options.clock.nowMs());
      this.#trouble = false;
      return found;
    } catch (error) {
      const message = `what a keg was like when a bottle was filled cannot be looked up yet: ${(error as Error).message}`;
      if (!this.#trouble) this.#options.log.warn(message);
      this.#trouble = true;
      return null;
    }
  }

  #unknown(fillId: string) {
    return refuse('fill-unknown', `There is no fill ${fillId}. Start one with POST /api/v1/fills.`);
  }
}
