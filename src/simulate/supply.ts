import {
  CO2_KG_PER_MOL,
  createSpace,
  cylinderPressurePa,
  type GasSpace,
  molPerPa,
  orificeMolPerS,
  setGasC,
  takeGas,
  totalPressurePa,
} from './gas.ts';
import { headspacePa, type KegTruth } from './keg.ts';
import type { SupplyTraits } from './traits.ts';

/** A cylinder with its regulator and the line to its kegs, as they truly are. Changed in place. */
export interface SupplyTruth {
  readonly id: string;
  readonly traits: SupplyTraits;
  /** CO2 in a full cylinder (kg). */
  cylinderFullKg: number;
  cylinderMol: number;
  cylinderOpen: boolean;
  cylinderC: number;
  cylinderPa: number;
  /** Temperature and content for which `cylinderPa` was last worked out. */
  ratedC: number;
  ratedMol: number;
  /** What the regulator is set to, at flow and with a full cylinder (kPa gauge). */
  setKpaGauge: number;
  /** How far its set-point has wandered, how fast it wanders, and where that ends (kPa, kPa per day). */
  driftKpa: number;
  driftKpaPerDay: number;
  driftEndKpa: number;
  /** Gas that passes the closed seat (mol/s), and how far above the set-point it can drive the line (kPa). */
  seatLeakMolPerS: number;
  seatLeakEndKpa: number;
  readonly line: GasSpace;
  lineLeakM2: number;
  /** Smoothed flow through the regulator (mol/s). */
  flowMolPerS: number;
  readonly account: { outMol: number };
}

export interface SupplySetup {
  readonly id: string;
  readonly traits: SupplyTraits;
  readonly setKpaGauge: number;
  readonly cylinderFullKg: number;
  readonly cylinderKg: number;
  readonly roomC: number;
  readonly ambientPa: number;
}

/** Space in a cylinder per kg of its full charge (m3/kg). @source filling ratio 0.68 kg/L of EN ISO 24431 class cylinders, from memory */
const CYLINDER_M3_PER_KG = 1 / 680;
const REFERENCE_INLET_PA = 5.7e6;
/** The cylinder's pressure is worked out anew when it warmed or was used by this much. */
const RATING_K = 0.02;
const RATING_SHARE = 1e-3;
/** Passes of gas between regulator, line and kegs in a step: enough for the kegs to come level within a minute. */
const PASSES = 12;
/** Differences below this are level (Pa). */
const LEVEL_PA = 15;
/** Time over which the flow that matters for the droop is smoothed (s). */
const FLOW_S = 30;

export function createSupply(setup: SupplySetup): SupplyTruth {
  const line = createSpace(setup.traits.lineL / 1000, setup.roomC, false);
  line.co2Mol = (setup.ambientPa + setup.setKpaGauge * 1000) * molPerPa(line);
  return {
    id: setup.id,
    traits: setup.traits,
    cylinderFullKg: setup.cylinderFullKg,
    cylinderMol: setup.cylinderKg / CO2_KG_PER_MOL,
    cylinderOpen: true,
    cylinderC: setup.roomC,
    cylinderPa: cylinderPressurePa(setup.cylinderKg, setup.cylinderFullKg * CYLINDER_M3_PER_KG, setup.roomC),
    ratedC: setup.roomC,
    ratedMol: setup.cylinderKg / CO2_KG_PER_MOL,
    setKpaGauge: setup.setKpaGauge,
    driftKpa: 0,
    driftKpaPerDay: 0,
    driftEndKpa: 0,
    seatLeakMolPerS: 0,
    seatLeakEndKpa: 0,
    line,
    lineLeakM2: 0,
    flowMolPerS: 0,
    account: { outMol: 0 },
  };
}

export const cylinderKg = (supply: SupplyTruth): number => supply.cylinderMol * CO2_KG_PER_MOL;
export const linePa = (supply: SupplyTruth): number => totalPressurePa(supply.line);

/** The outlet pressure at which the regulator shuts (Pa absolute). */
function lockPa(supply: SupplyTruth, ambientPa: number): number {
  const { traits } = supply;
  const flowing = Math.min(1, supply.flowMolPerS / 1e-3);
  const kpa =
    supply.setKpaGauge +
    supply.driftKpa +
    traits.lockUpKpa * (1 - flowing) -
    traits.droopKpaPerMmolS * Math.min(30, supply.flowMolPerS * 1000) +
    (traits.inletEffectKpaPerMpa * (REFERENCE_INLET_PA - supply.cylinderPa)) / 1e6;
  return Math.min(supply.cylinderPa, ambientPa + 1000 * Math.max(0, kpa));
}

/** Lets up to `mol` pass from the cylinder into a space. Returns what passed. */
function release(supply: SupplyTruth, into: GasSpace, mol: number): number {
  const passed = supply.cylinderOpen ? Math.max(0, Math.min(mol, supply.cylinderMol)) : 0;
  supply.cylinderMol -= passed;
  into.co2Mol += passed;
  return passed;
}

/** What drifts and leaks by itself: set-point, cylinder, line. */
function stepAlone(supply: SupplyTruth, dtS: number, roomC: number, ambientPa: number): void {
  supply.cylinderC += ((roomC - supply.cylinderC) * dtS) / 7200;
  setGasC(supply.line, roomC);
  const usedShare = Math.abs(supply.cylinderMol - supply.ratedMol) / (supply.ratedMol + 1e-9);
  if (Math.abs(supply.cylinderC - supply.ratedC) > RATING_K || usedShare > RATING_SHARE) {
    supply.cylinderPa = cylinderPressurePa(
      cylinderKg(supply),
      supply.cylinderFullKg * CYLINDER_M3_PER_KG,
      supply.cylinderC,
    );
    supply.ratedC = supply.cylinderC;
    supply.ratedMol = supply.cylinderMol;
  }
  if (supply.driftKpaPerDay !== 0) {
    const next = supply.driftKpa + (supply.driftKpaPerDay * dtS) / 86_400;
    supply.driftKpa =
      supply.driftKpaPerDay > 0 ? Math.min(supply.driftEndKpa, next) : Math.max(supply.driftEndKpa, next);
  }
  const pressurePa = linePa(supply);
  if (supply.seatLeakMolPerS > 0 && pressurePa < lockPa(supply, ambientPa) + 1000 * supply.seatLeakEndKpa) {
    release(supply, supply.line, supply.seatLeakMolPerS * dtS);
  }
  if (supply.lineLeakM2 > 0) {
    const flow = orificeMolPerS(supply.lineLeakM2, supply.line, pressurePa, ambientPa);
    const excessMol = Math.max(0, pressurePa - ambientPa) * molPerPa(supply.line);
    supply.account.outMol += takeGas(supply.line, Math.min(flow * dtS, excessMol)).co2Mol;
  }
}

/** Moves gas between the line and a keg towards one pressure. Returns how far apart they were (Pa). */
function level(supply: SupplyTruth, keg: KegTruth): number {
  const { line } = supply;
  const ahead = linePa(supply) - headspacePa(keg);
  const crackPa = keg.checkValve ? supply.traits.checkCrackKpa * 1000 : 0;
  if (ahead <= crackPa && (ahead > 0 || keg.checkValve)) return 0;
  const mol = (Math.abs(ahead) - crackPa) / (1 / molPerPa(line) + 1 / molPerPa(keg.headspace));
  const [from, to] = ahead > 0 ? [line, keg.headspace] : [keg.headspace, line];
  const moved = takeGas(from, mol);
  to.co2Mol += moved.co2Mol;
  to.airMol += moved.airMol;
  if (ahead > 0) keg.account.inMol += moved.co2Mol;
  else keg.account.outMol += moved.co2Mol;
  return Math.abs(ahead) - crackPa;
}

/** One step of a supply and the gas between it and its open kegs. */
export function stepSupply(
  supply: SupplyTruth,
  openKegs: readonly KegTruth[],
  dtS: number,
  roomC: number,
  ambientPa: number,
): void {
  stepAlone(supply, dtS, roomC, ambientPa);
  let capacityMol = supply.traits.maxMolPerS * dtS;
  let flowedMol = 0;
  for (let pass = 0; pass < PASSES; pass += 1) {
    const shutPa = lockPa(supply, ambientPa);
    const missingPa = shutPa - linePa(supply);
    // Between passes the seat is open already; only a resting seat sticks.
    if (missingPa > (pass === 0 ? supply.traits.stickKpa * 1000 : LEVEL_PA)) {
      const passed = release(supply, supply.line, Math.min(capacityMol, missingPa * molPerPa(supply.line)));
      capacityMol -= passed;
      flowedMol += passed;
    } else if (pass > 0 && openKegs.length === 0) break;
    let apartPa = 0;
    for (const keg of openKegs) apartPa = Math.max(apartPa, level(supply, keg));
    if (apartPa < LEVEL_PA) break;
  }
  supply.flowMolPerS += (flowedMol / dtS - supply.flowMolPerS) * (1 - Math.exp(-dtS / FLOW_S));
}

/** Fills a keg's headspace to a pressure straight from the cylinder, as in purging (Pa absolute). */
export function pressurise(supply: SupplyTruth, keg: KegTruth, toPa: number): void {
  const missing = Math.min(toPa, supply.cylinderPa) - headspacePa(keg);
  if (missing <= 0) return;
  keg.account.inMol += release(supply, keg.headspace, missing * molPerPa(keg.headspace));
}
