import type { Batch, Keg } from '../domain/catalogue.ts';
import type { KegLearning } from '../domain/estimate/learning.ts';
import type { HoursAhead } from '../domain/estimate/types.ts';
import type { EstimatePoint } from '../domain/estimate-point.ts';
import type { RunningEstimate, TrackOutput } from '../domain/keg-track-types.ts';
import type { Notice } from '../domain/notices/notice.ts';

export type { EstimatePoint };

/** What the rest of the application may ask of the running estimates. */
export interface KegEstimates {
  /** What was said of a keg at its last whole step; null while it is empty, or not computed yet. */
  output(kegId: string): TrackOutput | null;
  /** What the probes say of it and nobody entered. */
  notices(kegId: string): readonly Notice[];
  /** The estimate at that step, to let run ahead by itself; null as above, or where the gas's share of CO2 is unknown. */
  fork(kegId: string): RunningEstimate | null;
  /** How fast the keg follows its fridge (h); null: never seen. */
  coolingConstant(kegId: string): HoursAhead | null;
  /** What was said of a batch, every quarter of an hour, over fromMs <= time < toMs, in order of time. */
  history(batchId: string, fromMs: number, toMs: number): Promise<readonly EstimatePoint[]>;
  /** What a keg's past batches taught of it, and the batch that did; null: nothing yet. */
  learnt(keg: Keg): { readonly batch: Batch; readonly learning: KegLearning } | null;
  /** Batches that are being computed from the store, or wait for it: what is said of them may change soon. */
  readonly pending: number;
  /** True while a keg's first estimate is being computed, as after a start. */
  isPending(kegId: string): boolean;
}
