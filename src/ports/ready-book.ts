import type { ReadyForecast } from '../domain/ready-times.ts';

/** Keeps what was forecast of batches, and when their carbonation was right for the first time. */
export interface ReadyBook {
  /** In order of time. */
  forecasts(batchId: string): ReadyForecast[];
  saveForecast(batchId: string, forecast: ReadyForecast): void;
  /** Null: not yet, or not known. */
  cameAtMs(batchId: string): number | null;
  /** The first time counts; later ones change nothing. */
  saveCame(batchId: string, atMs: number): void;
}
