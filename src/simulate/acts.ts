import { CO2_KG_PER_MOL } from './gas.ts';
import { drawBeer, type KegTruth, ventTo } from './keg.ts';
import { molPerM3Of } from './solubility.ts';
import { pressurise, type SupplyTruth } from './supply.ts';
import type { FridgeTruth } from './surroundings.ts';

/** What may truly happen to a keg, whether or not anybody enters it. */
export type KegAct =
  | { readonly kind: 'open-gas' }
  | { readonly kind: 'close-gas' }
  /** Vigour 1 is firm; a keg that is only carried is moved with 0.05 to 0.3. */
  | { readonly kind: 'shake'; readonly seconds: number; readonly vigour?: number }
  | { readonly kind: 'draw'; readonly litres: number }
  | { readonly kind: 'vent'; readonly toKpaGauge: number }
  | { readonly kind: 'purge'; readonly times: number; readonly kpaGauge: number }
  | { readonly kind: 'stone'; readonly hours: number }
  /** Area of the hole (m2); 0 mends it. */
  | { readonly kind: 'leak'; readonly areaM2: number }
  | { readonly kind: 'referment'; readonly volumes: number }
  | { readonly kind: 'into-fridge' }
  | { readonly kind: 'out-of-fridge' };

export type SupplyAct =
  | { readonly kind: 'set-regulator'; readonly kpaGauge: number }
  /** The set-point wanders by itself until it is `endKpa` off. */
  | { readonly kind: 'drift-regulator'; readonly kpaPerDay: number; readonly endKpa: number }
  /** Gas passes the closed seat. */
  | { readonly kind: 'leak-seat'; readonly molPerS: number; readonly endKpa: number }
  | { readonly kind: 'leak-line'; readonly areaM2: number }
  | { readonly kind: 'change-cylinder'; readonly kg: number }
  | { readonly kind: 'turn-cylinder'; readonly open: boolean };

export type FridgeAct =
  | { readonly kind: 'set-fridge'; readonly celsius: number }
  | { readonly kind: 'open-door'; readonly seconds: number }
  | { readonly kind: 'fail-fridge' }
  | { readonly kind: 'repair-fridge' };

export type Act = KegAct | SupplyAct | FridgeAct;

/** An act at a time, on a keg, supply or fridge by its id. */
export interface TimedAct {
  readonly atMs: number;
  readonly on: string;
  readonly act: Act;
}

export function actOnKeg(keg: KegTruth, supply: SupplyTruth, act: KegAct, nowMs: number, ambientPa: number): void {
  switch (act.kind) {
    case 'open-gas':
      keg.gasOpen = true;
      return;
    case 'close-gas':
      keg.gasOpen = false;
      return;
    case 'shake':
      keg.shakeUntilMs = nowMs + act.seconds * 1000;
      keg.shakeVigour = act.vigour ?? 1;
      // Felt at once, so that the step that begins now is a short one.
      keg.agitation = Math.max(keg.agitation, keg.shakeVigour);
      return;
    case 'draw':
      drawBeer(keg, act.litres);
      return;
    case 'vent':
      ventTo(keg, ambientPa + act.toKpaGauge * 1000);
      return;
    case 'purge':
      for (let time = 0; time < act.times; time += 1) {
        ventTo(keg, ambientPa);
        pressurise(supply, keg, ambientPa + act.kpaGauge * 1000);
      }
      ventTo(keg, ambientPa);
      return;
    case 'stone':
      keg.stoneUntilMs = nowMs + act.hours * 3_600_000;
      return;
    case 'leak':
      keg.leakM2 = act.areaM2;
      return;
    case 'referment':
      keg.fermentableMolPerM3 = molPerM3Of(act.volumes);
      return;
    case 'into-fridge':
      keg.inFridge = true;
      return;
    case 'out-of-fridge':
      keg.inFridge = false;
  }
}

export function actOnSupply(supply: SupplyTruth, act: SupplyAct): void {
  switch (act.kind) {
    case 'set-regulator':
      supply.setKpaGauge = act.kpaGauge;
      supply.driftKpa = 0;
      supply.driftKpaPerDay = 0;
      return;
    case 'drift-regulator':
      supply.driftKpaPerDay = act.kpaPerDay;
      supply.driftEndKpa = act.endKpa;
      return;
    case 'leak-seat':
      supply.seatLeakMolPerS = act.molPerS;
      supply.seatLeakEndKpa = act.endKpa;
      return;
    case 'leak-line':
      supply.lineLeakM2 = act.areaM2;
      return;
    case 'change-cylinder':
      supply.cylinderMol = act.kg / CO2_KG_PER_MOL;
      return;
    case 'turn-cylinder':
      supply.cylinderOpen = act.open;
  }
}

export function actOnFridge(fridge: FridgeTruth, act: FridgeAct, nowMs: number): void {
  switch (act.kind) {
    case 'set-fridge':
      fridge.setC = act.celsius;
      return;
    case 'open-door':
      fridge.doorOpenUntilMs = nowMs + act.seconds * 1000;
      return;
    case 'fail-fridge':
      fridge.failed = true;
      return;
    case 'repair-fridge':
      fridge.failed = false;
  }
}

const SUPPLY_KINDS: ReadonlySet<string> = new Set([
  'set-regulator',
  'drift-regulator',
  'leak-seat',
  'leak-line',
  'change-cylinder',
  'turn-cylinder',
]);
const FRIDGE_KINDS: ReadonlySet<string> = new Set(['set-fridge', 'open-door', 'fail-fridge', 'repair-fridge']);

export const isSupplyAct = (act: Act): act is SupplyAct => SUPPLY_KINDS.has(act.kind);
export const isFridgeAct = (act: Act): act is FridgeAct => FRIDGE_KINDS.has(act.kind);
export const isKegAct = (act: Act): act is KegAct => !isSupplyAct(act) && !isFridgeAct(act);
