import type { ImportOutcome } from '../contract/index.ts';
import type { SourceItem } from './import-source.ts';

/** Places of the lines of a portion. */
export interface Wheres {
  readonly events: string[];
  readonly fills: string[];
  readonly readings: string[];
}

/** Lines that are named one by one; of more only the number is told. */
const NAMED_MAX = 20;

/** Counts what an import reads and what becomes of it, and gathers what is to be said of it. */
export class ImportTally {
  readonly #path: string;
  readonly #named: string[] = [];
  readonly #notes = new Map<string, { readonly where: string; count: number }>();
  #target = '';
  #problems = 0;
  #readings = 0;
  #events = 0;
  #fills = 0;
  #fillsAdded = 0;
  #fillsKnown = 0;
  #stored = 0;
  #duplicates = 0;
  #added = 0;
  #known = 0;
  #refused = 0;
  #cut = false;

  constructor(path: string) {
    this.#path = path;
  }

  get problems(): number {
    return this.#problems;
  }

  get readings(): number {
    return this.#readings;
  }

  get events(): number {
    return this.#events;
  }

  /** Fills, bottles and plans. */
  get fills(): number {
    return this.#fills;
  }

  get refused(): number {
    return this.#refused;
  }

  get wasCut(): boolean {
    return this.#cut;
  }

  /** A thing was read; `problem` says what is wrong with it. */
  look(item: SourceItem, problem: string | null): void {
    if (problem !== null) {
      this.#problems += 1;
      this.#name(item.where, problem);
    } else if (item.kind === 'event') this.#events += 1;
    else if (item.kind === 'fill') this.#fills += 1;
    else if (item.kind === 'reading') this.#readings += 1;
    else this.#note(item.where, item.kind === 'note' ? item.text : '');
  }

  goesTo(target: string): void {
    this.#target = target;
  }

  /** A portion was taken; `wheres` are the places of its lines. */
  took({ readings, events, fills }: ImportOutcome, wheres: Wheres) {
    this.#fillsAdded += fills.added;
    this.#fillsKnown += fills.known;
    for (const { index, reason } of fills.refused) this.#refuse(wheres.fills[index] ?? '', reason);
    this.#stored += readings.stored;
    this.#duplicates += readings.duplicates;
    this.#added += events.added;
    this.#known += events.known;
    for (const { index, reason } of readings.refused) this.#refuse(wheres.readings[index] ?? '', reason);
    for (const { index, reason } of events.refused) this.#refuse(wheres.events[index] ?? '', reason);
  }

  /** It was stopped before its end. */
  cut(): void {
    this.#cut = true;
  }

  /** What was wrong or passed over, a line each. */
  remarks(): string[] {
    const unnamed = this.#problems + this.#refused - this.#named.length;
    return [
      ...this.#named,
      ...(unnamed > 0 ? [`and ${unnamed} more lines like these`] : []),
      ...[...this.#notes].map(([text, { where, count }]) =>
        count === 1 ? `${where}: ${text}` : `${where} and ${count - 1} more: ${text}`,
      ),
      ...(this.#cut ? ['stopped before the end; what came in stays, and the same import again brings the rest'] : []),
    ];
  }

  outcome() {
    return {
      from: this.#path,
      to: this.#target === '' ? null : this.#target,
      entries: { read: this.#events, added: this.#added, known: this.#known },
      fills: { read: this.#fills, added: this.#fillsAdded, known: this.#fillsKnown },
      readings: { read: this.#readings, stored: this.#stored, known: this.#duplicates },
      bad: this.#problems + this.#refused,
      complete: !this.#cut,
    };
  }

  words(): string {
    const counted = (events: number, fills: number, readings: number) =>
      `${events} entries${this.#fills === 0 ? '' : `, ${fills} lines of fills`} and ${readings} readings`;
    const found = `${this.#path}: ${counted(this.#events, this.#fills, this.#readings)}`;
    if (this.#target === '') return `${found} can be imported`;
    const known = this.#known + this.#fillsKnown + this.#duplicates;
    const here = known === 0 ? '' : `; ${counted(this.#known, this.#fillsKnown, this.#duplicates)} were here already`;
    return `${found}; ${counted(this.#added, this.#fillsAdded, this.#stored)} are new in ${this.#target}${here}`;
  }

  #refuse(where: string, reason: string): void {
    this.#refused += 1;
    this.#name(where, reason);
  }

  #name(where: string, text: string): void {
    if (this.#named.length < NAMED_MAX) this.#named.push(where === '' ? text : `${where}: ${text}`);
  }

  #note(where: string, text: string): void {
    const known = this.#notes.get(text);
    if (known === undefined) this.#notes.set(text, { where, count: 1 });
    else known.count += 1;
  }
}
