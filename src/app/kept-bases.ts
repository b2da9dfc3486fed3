import type { Batch, Keg } from '../domain/catalogue.ts';
import type { KegLearning } from '../domain/estimate/learning.ts';
import { isSavedHeld, type TrackBase } from '../domain/keg-track.ts';
import type { BaseShelf } from '../ports/estimate-store.ts';
import { basisUntil, type EstimateBasis } from './estimate-basis.ts';

/** What running estimates have put aside, and what past batches taught: worth something only while it rests on what is so now. */
export class KeptBases {
  readonly #shelf: BaseShelf;
  /** When the base of each batch was taken; a past batch's is its end. */
  readonly #times: Map<string, number>;
  readonly #learnt: Map<string, KegLearning>;

  constructor(shelf: BaseShelf) {
    this.#shelf = shelf;
    this.#times = shelf.times();
    this.#learnt = shelf.learnt();
  }

  /** Readings before this moment are in the base of a batch (ms); null: it has none. */
  atMs(batchId: string): number | null {
    return this.#times.get(batchId) ?? null;
  }

  /** Where a batch may go on from; null if nothing is kept that still holds. */
  base(basis: EstimateBasis, nowMs: number): TrackBase | null {
    const kept = this.#shelf.base(basis.batch.batchId);
    if (kept === null || kept.atMs > nowMs || !isSavedHeld(kept.body)) return null;
    return kept.basis === basisUntil(basis, kept.atMs) ? { atMs: kept.atMs, held: kept.body } : null;
  }

  keep(basis: EstimateBasis, { atMs, held }: TrackBase): void {
    const { batchId } = basis.batch;
    this.#shelf.saveBase(batchId, { atMs, basis: basisUntil(basis, atMs), body: held });
    this.#times.set(batchId, atMs);
  }

  /** True if a past batch was computed from what is entered now. */
  isPastKept(basis: EstimateBasis): boolean {
    return this.#shelf.base(basis.batch.batchId)?.basis === basisUntil(basis, Number.POSITIVE_INFINITY);
  }

  /** Remembers that a past batch is computed, and what it taught. */
  keepPast(basis: EstimateBasis, learning: KegLearning | null): void {
    const { batchId, endedAtMs } = basis.batch;
    const atMs = endedAtMs ?? 0;
    this.#shelf.saveLearnt(batchId, learning);
    if (learning === null) this.#learnt.delete(batchId);
    else this.#learnt.set(batchId, learning);
    this.#shelf.saveBase(batchId, { atMs, basis: basisUntil(basis, Number.POSITIVE_INFINITY), body: null });
    this.#times.set(batchId, atMs);
  }

  drop(batchId: string): void {
    if (this.#times.delete(batchId)) this.#shelf.removeBase(batchId);
  }

  /** What the last of a keg's batches that ended by a moment taught; null: nothing, or it is to be forgotten. */
  learnt(
    { learnsFromMs }: Keg,
    batches: readonly Batch[],
    byMs: number,
  ): { batch: Batch; learning: KegLearning } | null {
    const taught = batches.flatMap((batch) => {
      const { endedAtMs, batchId } = batch;
      const learning = this.#learnt.get(batchId);
      if (learning === undefined || endedAtMs === null || endedAtMs > byMs) return [];
      return learnsFromMs !== null && endedAtMs < learnsFromMs ? [] : [{ batch, learning, endedAtMs }];
    });
    return taught.toSorted((a, b) => a.endedAtMs - b.endedAtMs).at(-1) ?? null;
  }
}
