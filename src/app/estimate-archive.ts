import type { EstimatePoint } from '../domain/estimate-point.ts';
import type { EstimateStore } from '../ports/estimate-store.ts';
import type { Log } from '../ports/log.ts';

type Kept = EstimatePoint & { readonly batchId: string };

/** Gathers what was estimated and keeps it from time to time; what is not kept yet is answered all the same. */
export class EstimateArchive {
  readonly #store: EstimateStore;
  readonly #log: Log;
  /** By batch and moment: what was computed anew replaces what waits. */
  #waiting = new Map<string, Kept>();
  #saving: Promise<void> | null = null;
  #trouble = false;

  constructor(store: EstimateStore, log: Log) {
    this.#store = store;
    this.#log = log;
  }

  add(batchId: string, point: EstimatePoint): void {
    this.#waiting.set(`${batchId} ${point.atMs}`, { batchId, ...point });
  }

  /** True if all that was added is kept. */
  get isKept(): boolean {
    return this.#waiting.size === 0;
  }

  /** Keeps what waits. It never rejects: what could not be kept waits for the next time. */
  save(): Promise<void> {
    this.#saving ??= this.#saveAll().finally(() => {
      this.#saving = null;
    });
    return this.#saving;
  }

  /** Points with fromMs <= atMs < toMs in order of time. Rejects if the store cannot be reached. */
  async range(batchId: string, fromMs: number, toMs: number): Promise<EstimatePoint[]> {
    const kept = await this.#store.range(batchId, fromMs, toMs);
    const points = new Map(kept.map((point) => [point.atMs, point]));
    for (const { batchId: ofBatch, ...point } of this.#waiting.values()) {
      if (ofBatch === batchId && point.atMs >= fromMs && point.atMs < toMs) points.set(point.atMs, point);
    }
    return [...points.values()].toSorted((a, b) => a.atMs - b.atMs);
  }

  async #saveAll(): Promise<void> {
    const points = [...this.#waiting];
    if (points.length === 0) return;
    try {
      await this.#store.save(points.map(([, point]) => point));
      // What was added anew meanwhile still waits.
      for (const [key, point] of points) if (this.#waiting.get(key) === point) this.#waiting.delete(key);
      if (this.#trouble) this.#log.info('estimates are kept again');
      this.#trouble = false;
    } catch (error) {
      if (!this.#trouble) this.#log.warn(`estimates cannot be kept: ${(error as Error).message}. They wait.`);
      this.#trouble = true;
    }
  }
}
