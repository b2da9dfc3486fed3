import type { Fill, FilledBottle, FillRecord } from '../domain/fill/fill.ts';

/** Keeps fills and their bottles, in the catalogue's file: what is written within `Catalogue.together` is kept with it, or not at all. */
export interface FillBook {
  /** All fills, newest begin first. */
  records(): FillRecord[];
  record(fillId: string): FillRecord | null;
  saveFill(fill: Fill): void;
  saveBottle(fillId: string, bottle: FilledBottle): void;
  /** Takes a bottle back for good: its id stays known, so that a late repetition does not bring it again. */
  removeBottle(fillId: string, bottleId: string): void;
  /** Bottles that were taken back, in order of their numbers. */
  removed(fillId: string): FilledBottle[];
  wasRemoved(fillId: string, bottleId: string): boolean;
  /** The number for the next bottle: one more than the highest that is there. */
  nextNumber(fillId: string): number;
}
