import type { KegTruth } from './keg.ts';
import type { SupplyTruth } from './supply.ts';
import type { FridgeTruth, Surroundings } from './surroundings.ts';
import type { KegTraits, SupplyTraits } from './traits.ts';

export interface KegPlan {
  readonly id: string;
  readonly supplyId: string;
  /** When it is filled; from the start, if left out. */
  readonly filledAtMs?: number;
  readonly totalL: number;
  readonly beerL: number;
  readonly diameterM: number;
  readonly beerC: number;
  /** What is dissolved at filling: true volumes, or volumes as the chart would report them. */
  readonly dissolved: { readonly trueVolumes: number } | { readonly chartVolumes: number };
  readonly inFridge?: boolean;
  readonly gasOpen?: boolean;
  readonly checkValve?: boolean;
  readonly freezesAtC?: number;
  readonly emptyKegKg?: number;
  readonly traits?: Partial<KegTraits>;
}

export interface SupplyPlan {
  readonly id: string;
  readonly setKpaGauge: number;
  readonly cylinderFullKg: number;
  /** What is in it at the start; full, if left out. */
  readonly cylinderKg?: number;
  readonly traits?: Partial<SupplyTraits>;
}

/** All that a cellar consists of, for the steps and for `truth`. */
export interface CellarTruth {
  readonly around: Surroundings;
  readonly fridge: FridgeTruth;
  readonly supplies: ReadonlyMap<string, SupplyTruth>;
  readonly plans: ReadonlyMap<string, KegPlan>;
  readonly kegs: Map<string, KegTruth>;
}
