import type { KegLearning } from '../domain/estimate/learning.ts';
import type { EstimatePoint } from '../domain/estimate-point.ts';

/**
 * Keeps what was estimated of batches, beside the readings. It can all be computed again from readings and entries, so
 * losing it loses time, not knowledge. Every method rejects when the store cannot be reached and may be tried again.
 */
export interface EstimateStore {
  /** Makes ready: creates what is missing. Idempotent. */
  open(): Promise<void>;
  /** Keeps points of batches; what was kept of the same batch and moment is replaced. */
  save(points: readonly (EstimatePoint & { readonly batchId: string })[]): Promise<void>;
  /** Points with fromMs <= atMs < toMs, in order of time. */
  range(batchId: string, fromMs: number, toMs: number): Promise<EstimatePoint[]>;
  close(): Promise<void>;
}

/** A running estimate put aside, so that a restart need not begin at the filling. */
export interface KeptBase {
  /** What it was computed from; with anything else it is worth nothing. */
  readonly basis: string;
  /** Up to when readings and entries are in it (ms). */
  readonly atMs: number;
  /** Plain values and typed arrays. */
  readonly body: unknown;
}

/** Keeps, on the local disk, one base a batch, and what past batches taught of their kegs. */
export interface BaseShelf {
  /** What each past batch taught, by batch. */
  learnt(): Map<string, KegLearning>;
  /** Null: it taught nothing. */
  saveLearnt(batchId: string, learning: KegLearning | null): void;
  /** When each kept base was taken, by batch. */
  times(): Map<string, number>;
  /** Null if there is none, or none that can be read. */
  base(batchId: string): KeptBase | null;
  saveBase(batchId: string, base: KeptBase): void;
  removeBase(batchId: string): void;
}
