import type * as contract from '../contract/index.ts';
import { newKeg } from '../domain/catalogue.ts';
import { type FillRecord, fillEvents } from '../domain/fill/fill.ts';
import type { FillBook } from '../ports/fill-book.ts';
import { bottleOf, fillOf, planOf } from './fill-lines.ts';
import type { KeptPlan } from './kept-plan.ts';
import type { Register } from './register.ts';

export interface FillImportOptions {
  readonly register: Register;
  readonly book: FillBook;
  /** Keeps a plan as it is; false if it is here already. */
  readonly keepPlan: (plan: KeptPlan) => boolean;
  readonly nowMs: () => number;
}

type Became = { readonly kind: 'added' | 'known' } | { readonly kind: 'refused'; readonly reason: string };

const ADDED: Became = { kind: 'added' };
const KNOWN: Became = { kind: 'known' };
const refused = (reason: string): Became => ({ kind: 'refused', reason });

/** What is wrong with a line by itself; null if nothing is. `latestMs`: what is later lies in the future. */
export function fillLineObjection(line: contract.TransferFillLine, latestMs: number): string | null {
  if (Date.parse(line.t) > latestMs) return 't: this lies in the future; enter what has happened';
  if (line.kind !== 'fill' || line.endedAt === null) return null;
  const endedAtMs = Date.parse(line.endedAt);
  if (endedAtMs > latestMs) return 'endedAt: this lies in the future; enter what has happened';
  return endedAtMs < Date.parse(line.t) ? 'endedAt: a fill ends after it began' : null;
}

/** Takes in fills, their bottles and plans. What is here stays as it is, told by its id. */
export class FillImport {
  readonly #options: FillImportOptions;

  constructor(options: FillImportOptions) {
    this.#options = options;
  }

  take(lines: readonly contract.TransferFillLine[], latestMs: number): contract.ImportOutcome['fills'] {
    if (lines.length === 0) return { added: 0, known: 0, refused: [] };
    const { register } = this.#options;
    const kegs = new Set<string>();
    let became: Became[] = [];
    register.together((catalogue) => {
      const fills = new TouchedFills(this.#options);
      became = lines.map((line) => {
        const objection = fillLineObjection(line, latestMs);
        return objection === null ? this.#put(line, fills) : refused(objection);
      });
      for (const kegId of fills.freshKegs()) catalogue.saveKeg(newKeg(kegId));
      for (const event of fills.events()) {
        catalogue.saveEvent(event);
        kegs.add(event.subject.id);
      }
    });
    for (const kegId of kegs) register.changeEvents(kegId, () => undefined);
    return {
      added: became.filter(({ kind }) => kind === 'added').length,
      known: became.filter(({ kind }) => kind === 'known').length,
      refused: became.flatMap((one, index) => (one.kind === 'refused' ? [{ index, reason: one.reason }] : [])),
    };
  }

  #put(line: contract.TransferFillLine, fills: TouchedFills): Became {
    switch (line.kind) {
      case 'fill':
        return fills.putFill(line);
      case 'bottle':
        return fills.putBottle(line);
      case 'fill-plan':
        return this.#options.keepPlan(planOf(line)) ? ADDED : KNOWN;
    }
  }
}

/** Fills that one portion touches, as they were before it. */
class TouchedFills {
  readonly #options: FillImportOptions;
  readonly #before = new Map<string, FillRecord | null>();
  readonly #numbers = new Map<string, Map<number, string>>();

  constructor(options: FillImportOptions) {
    this.#options = options;
  }

  putFill(line: contract.TransferFill): Became {
    const { book } = this.#options;
    const known = book.record(line.fillId)?.fill;
    if (known !== undefined)
      return known.kegId === line.keg
        ? KNOWN
        : refused(`fillId: the fill ${line.fillId} is one of the keg ${known.kegId} here`);
    const open = book.records().find(({ fill }) => fill.kegId === line.keg && fill.endedAtMs === null);
    if (line.endedAt === null && open !== undefined)
      return refused(`endedAt: bottles are being filled from ${line.keg} here; end the fill ${open.fill.fillId} first`);
    this.#before.set(line.fillId, null);
    book.saveFill(fillOf(line));
    return ADDED;
  }

  putBottle(line: contract.TransferBottle): Became {
    const { book } = this.#options;
    const { fillId, bottleId, number } = line;
    const numbers = this.#numbersOf(fillId);
    if (numbers === null)
      return refused(`fillId: there is no fill ${fillId} here; its own line must stand before its bottles`);
    if (book.record(fillId)?.fill.kegId !== line.keg)
      return refused(`keg: the fill ${fillId} is one of another keg; correct one of the two lines`);
    if (book.wasRemoved(fillId, bottleId) || [...numbers.values()].includes(bottleId)) return KNOWN;
    const other = line.removed === true ? undefined : numbers.get(number);
    if (other !== undefined)
      return refused(`number: bottle ${number} of this fill is ${other} here; numbers stand on labels, once each`);
    if (!this.#before.has(fillId)) this.#before.set(fillId, book.record(fillId));
    book.saveBottle(fillId, bottleOf(line));
    if (line.removed === true) book.removeBottle(fillId, bottleId);
    else numbers.set(number, bottleId);
    return ADDED;
  }

  /** Kegs of new fills that nobody has said anything of. */
  freshKegs(): readonly string[] {
    const { register, book } = this.#options;
    const kegs = [...this.#before.keys()].flatMap((fillId) => book.record(fillId)?.fill.kegId ?? []);
    return [...new Set(kegs)].filter((kegId) => register.keg(kegId) === null);
  }

  /**
   * Entries that follow from the fills and are missing. Those that came in as entries stay as they are; those that
   * followed from what a fill was before follow it on.
   */
  events() {
    const { register, book, nowMs } = this.#options;
    return [...this.#before].flatMap(([fillId, before]) => {
      const after = book.record(fillId);
      if (after === null) return [];
      const derived = before === null ? [] : fillEvents(before);
      const subject = { kind: 'keg', id: after.fill.kegId } as const;
      return fillEvents(after).flatMap((event) => {
        const here = register.event(event.eventId);
        const was = derived.find(({ eventId }) => eventId === event.eventId);
        const follows = here === null || (was !== undefined && isSame(was, here) && !isSame(event, here));
        return follows ? [{ ...event, subject, enteredAtMs: here?.enteredAtMs ?? nowMs() }] : [];
      });
    });
  }

  /** Bottles by their numbers; null if there is no such fill. */
  #numbersOf(fillId: string): Map<number, string> | null {
    const known = this.#numbers.get(fillId);
    if (known !== undefined) return known;
    const record = this.#options.book.record(fillId);
    if (record === null) return null;
    const numbers = new Map(record.bottles.map(({ number, bottleId }) => [number, bottleId]));
    this.#numbers.set(fillId, numbers);
    return numbers;
  }
}

type Said = Pick<ReturnType<typeof fillEvents>[number], 'atMs' | 'body'>;

function isSame(a: Said, b: Said): boolean {
  return a.atMs === b.atMs && JSON.stringify(a.body) === JSON.stringify(b.body);
}
