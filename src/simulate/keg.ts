import {
  at,
  type BeerColumn,
  createColumn,
  dissolvedMol,
  drawFromBottom,
  LAYERS,
  type Mixing,
  relativeDensity,
  stepColumn,
  surfaceVelocity,
} from './beer-column.ts';
import { createSpace, type GasSpace, molPerPa, orificeMolPerS, setGasC, takeGas, totalPressurePa } from './gas.ts';
import { equilibriumMolPerM3, henryMolPerM3Pa } from './solubility.ts';
import type { KegTraits } from './traits.ts';

/** A keg as it truly is. Changed in place by the steps below. */
export interface KegTruth {
  readonly id: string;
  readonly supplyId: string;
  readonly traits: KegTraits;
  readonly totalM3: number;
  readonly column: BeerColumn;
  readonly headspace: GasSpace;
  beerTopC: number;
  beerBulkC: number;
  wallC: number;
  /** Heat through the wall into the beer (W; negative while it cools). */
  wallHeatW: number;
  inFridge: boolean;
  gasOpen: boolean;
  readonly checkValve: boolean;
  leakM2: number;
  shakeUntilMs: number;
  shakeVigour: number;
  agitation: number;
  stoneUntilMs: number;
  /** CO2 that yeast can still make (mol per m3 of beer). */
  fermentableMolPerM3: number;
  readonly freezesAtC: number;
  /** Everything that crossed the keg's wall, to check that no CO2 is lost (mol). */
  readonly account: { inMol: number; outMol: number; madeMol: number };
}

export interface KegFilling {
  readonly id: string;
  readonly supplyId: string;
  readonly traits: KegTraits;
  readonly totalL: number;
  readonly beerL: number;
  readonly diameterM: number;
  readonly beerC: number;
  readonly molPerM3: number;
  readonly ambientPa: number;
  readonly inFridge: boolean;
  readonly gasOpen: boolean;
  readonly checkValve: boolean;
  readonly freezesAtC: number;
}

/** A keg just filled: beer evenly carbonated, the headspace full of air at the local pressure. */
export function fillKeg(filling: KegFilling): KegTruth {
  const totalM3 = filling.totalL / 1000;
  const beerM3 = Math.min(filling.beerL, 0.995 * filling.totalL) / 1000;
  const areaM2 = (Math.PI * filling.diameterM ** 2) / 4;
  const headspace = createSpace(totalM3 - beerM3, filling.beerC, true);
  headspace.airMol = (filling.ambientPa - headspace.vapourPa) * molPerPa(headspace);
  return {
    id: filling.id,
    supplyId: filling.supplyId,
    traits: filling.traits,
    totalM3,
    column: createColumn(beerM3, areaM2, filling.traits.topDepthM, filling.molPerM3),
    headspace,
    beerTopC: filling.beerC,
    beerBulkC: filling.beerC,
    wallC: filling.beerC,
    wallHeatW: 0,
    inFridge: filling.inFridge,
    gasOpen: filling.gasOpen,
    checkValve: filling.checkValve,
    leakM2: 0,
    shakeUntilMs: 0,
    shakeVigour: 0,
    agitation: 0,
    stoneUntilMs: 0,
    fermentableMolPerM3: 0,
    freezesAtC: filling.freezesAtC,
    account: { inMol: 0, outMol: 0, madeMol: 0 },
  };
}

/** All CO2 in the keg: dissolved and in the headspace (mol). */
export const co2Mol = (keg: KegTruth): number => dissolvedMol(keg.column) + keg.headspace.co2Mol;

export const headspacePa = (keg: KegTruth): number => totalPressurePa(keg.headspace);

/** Beer that no draw takes: it stays below the dip tube (m3). */
const UNDRAWABLE_M3 = 1e-4;

/** Draws beer from the bottom; less comes if less is there. Returns what came (L). */
export function drawBeer(keg: KegTruth, litres: number): number {
  const drawnM3 = Math.max(0, Math.min(litres / 1000, keg.column.beerM3 - UNDRAWABLE_M3));
  if (drawnM3 === 0) return 0;
  keg.account.outMol += drawFromBottom(keg.column, drawnM3, keg.traits.topDepthM);
  keg.headspace.volumeM3 = keg.totalM3 - keg.column.beerM3;
  return drawnM3 * 1000;
}

/** Opens the relief until the headspace is at a pressure (Pa absolute). */
export function ventTo(keg: KegTruth, toPa: number): void {
  const excess = headspacePa(keg) - toPa;
  if (excess <= 0) return;
  keg.account.outMol += takeGas(keg.headspace, excess * molPerPa(keg.headspace)).co2Mol;
}

/** Turbulence dies down with this time when a keg comes to rest (s). Simulated value, no source. */
const CALM_S = 40;

/** Whether the keg needs short steps: it is, or just was, shaken. */
export const isAgitated = (keg: KegTruth): boolean => keg.agitation > 0.005;

/** Lets agitation rise while the keg is shaken and die down after it. */
export function stepAgitation(keg: KegTruth, nowMs: number, dtS: number): void {
  if (nowMs < keg.shakeUntilMs) keg.agitation = keg.shakeVigour;
  else if (keg.agitation > 0) keg.agitation = keg.agitation < 0.005 ? 0 : keg.agitation * Math.exp(-dtS / CALM_S);
}

/** Transfer velocity that shaking multiplies (m/s). */
const STILL_M_PER_S = 2e-6;

/** One step of everything inside a keg but its heat and its gas line: absorption, bubbles, stone, yeast, leak. */
export function stepInside(keg: KegTruth, nowMs: number, dtS: number, ambientPa: number): void {
  const { traits, column, headspace } = keg;
  const beerFactor = traits.beerFactor;
  setGasC(headspace, 0.5 * (keg.wallC + keg.beerTopC));
  const pressurePa = headspacePa(keg);
  const dryPa = pressurePa - headspace.vapourPa;
  const gasMol = headspace.co2Mol + headspace.airMol;
  const co2Pa = gasMol > 0 ? (dryPa * headspace.co2Mol) / gasMol : 0;
  const equilibrium = equilibriumMolPerM3(keg.beerTopC, co2Pa, beerFactor);
  const heatMPerS = traits.heatMixMPerS * Math.cbrt(Math.abs(keg.wallHeatW) / 0.4);
  const gap = equilibrium - at(column.molPerM3, 0);
  const surface =
    surfaceVelocity(traits, gap, keg.beerTopC, heatMPerS) + keg.agitation * traits.shakeGain * STILL_M_PER_S;
  const mixing: Mixing = {
    traits,
    heatMPerS,
    agitation: keg.agitation,
    topC: keg.beerTopC,
    bulkC: keg.beerBulkC,
  };
  headspace.co2Mol -= stepColumn(column, equilibrium, surface, mixing, dtS);
  growBubbles(keg, dryPa, dtS);
  if (nowMs < keg.stoneUntilMs) bubbleThroughStone(keg, co2Pa, dtS);
  if (keg.fermentableMolPerM3 > 0) ferment(keg, dtS);
  const suctionPa = ambientPa - traits.lidGivesKpa * 1000 - pressurePa;
  if (suctionPa > 0) headspace.airMol += suctionPa * molPerPa(headspace);
  if (keg.leakM2 > 0) {
    const flow = orificeMolPerS(keg.leakM2, headspace, pressurePa, ambientPa);
    const excessMol = Math.max(0, pressurePa - ambientPa) * molPerPa(headspace);
    keg.account.outMol += takeGas(headspace, Math.min(flow * dtS, 0.5 * excessMol)).co2Mol;
  }
}

/** Beer column's pressure per depth (Pa/m). */
const PA_PER_M = 1010 * 9.81;

/** Bubbles form where the beer holds more than it would under its total pressure, and carry the CO2 to the headspace. */
function growBubbles(keg: KegTruth, dryPa: number, dtS: number): void {
  const { traits, column } = keg;
  const calm = 1 - Math.min(1, keg.agitation * 5);
  const tolerated = 1 + 0.02 + (traits.bubbleThreshold - 0.02) * calm;
  const solubility = henryMolPerM3Pa(keg.beerTopC, traits.beerFactor);
  // Most of the time no layer comes near: then the rest need not be worked out.
  const near = 0.9 * solubility * dryPa * tolerated;
  if (!column.molPerM3.some((molPerM3) => molPerM3 > near)) return;
  const bulkSolubility = henryMolPerM3Pa(keg.beerBulkC, traits.beerFactor);
  const rate = Math.min(0.5, dtS * traits.bubblePerS * (1 + 200 * keg.agitation));
  let depthM = 0;
  for (let layer = 0; layer < LAYERS; layer += 1) {
    const thicknessM = at(column.layerM3, layer) / column.areaM2;
    const bubblePa = dryPa + PA_PER_M * (depthM + thicknessM / 2);
    const bearable = (layer === 0 ? solubility : bulkSolubility) * bubblePa * tolerated;
    depthM += thicknessM;
    const excess = at(column.molPerM3, layer) - bearable;
    if (excess <= 0) continue;
    column.molPerM3[layer] = at(column.molPerM3, layer) - excess * rate;
    keg.headspace.co2Mol += excess * rate * at(column.layerM3, layer);
  }
}

/** Fine bubbles from a stone at the bottom: all layers take up CO2 that comes through the headspace's account. */
function bubbleThroughStone(keg: KegTruth, co2Pa: number, dtS: number): void {
  const { column, headspace, traits } = keg;
  if (!keg.gasOpen) return;
  const share = 1 - Math.exp(-dtS * traits.stonePerS);
  const equilibrium = equilibriumMolPerM3(keg.beerBulkC, co2Pa, traits.beerFactor);
  for (let layer = 0; layer < LAYERS; layer += 1) {
    const gap = Math.max(0, equilibrium - at(column.molPerM3, layer));
    const mol = Math.min(gap * share * at(column.layerM3, layer), 0.2 * headspace.co2Mol);
    column.molPerM3[layer] = at(column.molPerM3, layer) + mol / at(column.layerM3, layer);
    headspace.co2Mol -= mol;
  }
}

/** Rate at which yeast turns what it can at 20 °C (1/s), and its factor per 10 K. Simulated values, no source. */
const FERMENT_PER_S = 1 / (2.5 * 86_400);
const FERMENT_Q10 = 2.5;

function ferment(keg: KegTruth, dtS: number): void {
  const perS = FERMENT_PER_S * FERMENT_Q10 ** ((keg.beerBulkC - 20) / 10);
  const made = keg.fermentableMolPerM3 * (1 - Math.exp(-perS * dtS));
  keg.fermentableMolPerM3 -= made;
  for (let layer = 0; layer < LAYERS; layer += 1) {
    keg.column.molPerM3[layer] = at(keg.column.molPerM3, layer) + made;
  }
  keg.account.madeMol += made * keg.column.beerM3;
}

/** Heat capacity of beer (J/(m3 K)). @source water at 4 °C, 4.2 MJ/(m3 K), less a little for extract and alcohol */
const BEER_J_PER_M3K = 4.1e6;
/** Heat between wall and beer (W per m2 and K), still liquid. @source textbook range of natural convection in water, 50 to 200 */
const BEER_SIDE_W_PER_M2K = 90;
const WALL_J_PER_M2K = 4500;
/** Share of the beer counted as its top. */
const TOP_SHARE = 0.25;
/** Latent heat over heat capacity per K: beer below its freezing point cools this much more slowly. Simulated value. */
const FREEZING_SLOWDOWN = 40;

/** One step of the keg's heat: wall, top and bulk of the beer. Returns the heat taken from the surrounding air (W). */
export function stepHeat(keg: KegTruth, airC: number, dtS: number): number {
  const { traits, column } = keg;
  const radiusM = Math.sqrt(column.areaM2 / Math.PI);
  const wallM2 = 2 * column.areaM2 + (2 * Math.PI * radiusM * keg.totalM3) / column.areaM2;
  const wetM2 = column.areaM2 + (2 * Math.PI * radiusM * column.beerM3) / column.areaM2;
  const fromAir = traits.airSideWPerM2K * wallM2;
  const toTop = BEER_SIDE_W_PER_M2K * wetM2 * TOP_SHARE;
  const toBulk = BEER_SIDE_W_PER_M2K * wetM2 * (1 - TOP_SHARE);
  const stored = (WALL_J_PER_M2K * wallM2) / dtS;
  const total = stored + fromAir + toTop + toBulk;
  keg.wallC = (stored * keg.wallC + fromAir * airC + toTop * keg.beerTopC + toBulk * keg.beerBulkC) / total;

  const sinking = relativeDensity(keg.beerTopC) - relativeDensity(keg.beerBulkC);
  const stirred = (sinking > 0 ? 25 : 3) + 3000 * keg.agitation;
  const heatPerK = BEER_J_PER_M3K * column.beerM3;
  const topPerK = heatPerK * TOP_SHARE * (keg.beerTopC <= keg.freezesAtC ? FREEZING_SLOWDOWN : 1);
  const bulkPerK = heatPerK * (1 - TOP_SHARE) * (keg.beerBulkC <= keg.freezesAtC ? FREEZING_SLOWDOWN : 1);
  let intoTopW = toTop * (keg.wallC - keg.beerTopC);
  let intoBulkW = toBulk * (keg.wallC - keg.beerBulkC);
  // Beer along the wall that is denser than the rest sinks and cools the bulk first; lighter beer rises into the top.
  const carriedW = relativeDensity(keg.wallC) > relativeDensity(keg.beerBulkC) ? 0.6 * intoTopW : -0.25 * intoBulkW;
  intoTopW -= carriedW;
  intoBulkW += carriedW;
  // The exchange of top and bulk is solved exactly: with little beer it is far quicker than a step.
  const rate = stirred * (1 / topPerK + 1 / bulkPerK);
  const swapped = ((keg.beerTopC - keg.beerBulkC) * (1 - Math.exp(-rate * dtS))) / (1 / topPerK + 1 / bulkPerK);
  keg.beerTopC += (intoTopW * dtS - swapped) / topPerK;
  keg.beerBulkC += (intoBulkW * dtS + swapped) / bulkPerK;
  keg.wallHeatW = intoTopW + intoBulkW;
  return fromAir * (airC - keg.wallC);
}

/** The beer's mean temperature (°C). */
export const beerMeanC = (keg: KegTruth): number => TOP_SHARE * keg.beerTopC + (1 - TOP_SHARE) * keg.beerBulkC;
