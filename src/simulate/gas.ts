import { GAS_CONSTANT, virialM3PerMol, waterVapourPa, ZERO_CELSIUS_K } from './solubility.ts';

/** A closed space with gas: a keg's headspace or a supply line. Amounts in mol. */
export interface GasSpace {
  co2Mol: number;
  airMol: number;
  volumeM3: number;
  /** Whether water vapour adds to the pressure. */
  readonly overBeer: boolean;
  /** Set by `setGasC`, with what follows from it: R·T (J/mol), virial coefficient (m3/mol), vapour (Pa). */
  gasC: number;
  energyJPerMol: number;
  virialM3PerMol: number;
  vapourPa: number;
}

/** An empty space. */
export function createSpace(volumeM3: number, gasC: number, overBeer: boolean): GasSpace {
  const space = { co2Mol: 0, airMol: 0, volumeM3, overBeer, gasC, energyJPerMol: 0, virialM3PerMol: 0, vapourPa: 0 };
  setGasC(space, gasC);
  return space;
}

export function setGasC(space: GasSpace, gasC: number): void {
  space.gasC = gasC;
  space.energyJPerMol = GAS_CONSTANT * (gasC + ZERO_CELSIUS_K);
  space.virialM3PerMol = virialM3PerMol(gasC);
  space.vapourPa = space.overBeer ? waterVapourPa(gasC) : 0;
}

/** Molar mass of CO2 (kg/mol). @source IUPAC standard atomic weights */
export const CO2_KG_PER_MOL = 0.0440095;
/** Mean molar mass of dry air (kg/mol). @source U.S. Standard Atmosphere 1976 */
const AIR_KG_PER_MOL = 0.0289644;
/** Ratio of heat capacities of CO2 near 280 K. @source NIST Chemistry WebBook, from memory: 1.30 */
const HEAT_RATIO = 1.3;
/** Discharge coefficient of a sharp small hole. @source ISO 5167-2 gives about 0.6 */
const DISCHARGE = 0.6;

/** Partial pressure of CO2 (Pa), with the second virial coefficient. */
export function co2PressurePa(space: GasSpace): number {
  const molPerM3 = space.co2Mol / space.volumeM3;
  return molPerM3 * space.energyJPerMol * (1 + space.virialM3PerMol * molPerM3);
}

/** Total pressure (Pa absolute): CO2, air, and water vapour where the space stands over beer. */
export function totalPressurePa(space: GasSpace): number {
  return co2PressurePa(space) + (space.airMol / space.volumeM3) * space.energyJPerMol + space.vapourPa;
}

/** How many mol raise the pressure of a space by one Pa, nearly. */
export function molPerPa(space: GasSpace): number {
  return space.volumeM3 / space.energyJPerMol;
}

/** Takes an amount of mixed gas out of a space and returns what left. Never takes more than is there. */
export function takeGas(space: GasSpace, mol: number): { co2Mol: number; airMol: number } {
  const total = space.co2Mol + space.airMol;
  if (total <= 0 || mol <= 0) return { co2Mol: 0, airMol: 0 };
  const share = Math.min(1, mol / total);
  const taken = { co2Mol: space.co2Mol * share, airMol: space.airMol * share };
  space.co2Mol -= taken.co2Mol;
  space.airMol -= taken.airMol;
  return taken;
}

/**
 * Flow out of a hole (mol/s), choked or not.
 * @source isentropic nozzle flow, e.g. Perry's Chemical Engineers' Handbook, section 10, compressible flow
 */
export function orificeMolPerS(areaM2: number, space: GasSpace, insidePa: number, outsidePa: number): number {
  if (insidePa <= outsidePa || areaM2 <= 0) return 0;
  const total = space.co2Mol + space.airMol;
  if (total <= 0) return 0;
  const co2Share = space.co2Mol / total;
  const kgPerMol = co2Share * CO2_KG_PER_MOL + (1 - co2Share) * AIR_KG_PER_MOL;
  const perMass = kgPerMol / space.energyJPerMol;
  const choked = (2 / (HEAT_RATIO + 1)) ** (HEAT_RATIO / (HEAT_RATIO - 1));
  const ratio = Math.max(choked, outsidePa / insidePa);
  const flow = Math.sqrt(
    ((2 * HEAT_RATIO) / (HEAT_RATIO - 1)) *
      perMass *
      (ratio ** (2 / HEAT_RATIO) - ratio ** ((HEAT_RATIO + 1) / HEAT_RATIO)),
  );
  return (DISCHARGE * areaM2 * insidePa * flow) / kgPerMol;
}

/** CO2's critical point. @source R. Span, W. Wagner, J. Phys. Chem. Ref. Data 25, 1509, 1996 */
const CRITICAL_K = 304.1282;
const CRITICAL_PA = 7.3773e6;
const CRITICAL_KG_PER_M3 = 467.6;

/** Vapour pressure (Pa) and vapour density (kg/m3) over liquid CO2. @source Span and Wagner 1996, eqs. 3.13 and 3.15 */
export function saturatedCo2(cylinderC: number): { pressurePa: number; vapourKgPerM3: number } | null {
  const k = cylinderC + ZERO_CELSIUS_K;
  if (k >= CRITICAL_K) return null;
  const t = 1 - k / CRITICAL_K;
  const lnP = -7.0602087 * t + 1.9391218 * t ** 1.5 - 1.6463597 * t ** 2 - 3.2995634 * t ** 4;
  const lnDensity =
    -1.7074879 * t ** 0.34 -
    0.8227467 * t ** 0.5 -
    4.6008549 * t -
    10.111178 * t ** (7 / 3) -
    29.742252 * t ** (14 / 3);
  return {
    pressurePa: CRITICAL_PA * Math.exp((CRITICAL_K / k) * lnP),
    vapourKgPerM3: CRITICAL_KG_PER_M3 * Math.exp(lnDensity),
  };
}

/**
 * Pressure in a CO2 cylinder (Pa absolute): the vapour pressure while liquid is left, then that of the gas.
 * @source D.-Y. Peng, D. B. Robinson, Ind. Eng. Chem. Fundam. 15, 59, 1976; acentric factor 0.2239
 */
export function cylinderPressurePa(co2Kg: number, volumeM3: number, cylinderC: number): number {
  if (co2Kg <= 0) return 0;
  const saturated = saturatedCo2(cylinderC);
  const kgPerM3 = co2Kg / volumeM3;
  if (saturated !== null && kgPerM3 >= saturated.vapourKgPerM3) return saturated.pressurePa;
  const k = cylinderC + ZERO_CELSIUS_K;
  const molar = CO2_KG_PER_MOL / kgPerM3;
  const slope = 0.37464 + 1.54226 * 0.2239 - 0.26992 * 0.2239 ** 2;
  const alpha = (1 + slope * (1 - Math.sqrt(k / CRITICAL_K))) ** 2;
  const a = (0.45724 * (GAS_CONSTANT * CRITICAL_K) ** 2 * alpha) / CRITICAL_PA;
  const b = (0.0778 * GAS_CONSTANT * CRITICAL_K) / CRITICAL_PA;
  const gasPa = (GAS_CONSTANT * k) / (molar - b) - a / (molar * molar + 2 * b * molar - b * b);
  return saturated === null ? gasPa : Math.min(gasPa, saturated.pressurePa);
}
