import type { KegTraits } from './traits.ts';

/**
 * The beer as a column of layers, surface first, in each of which CO2 is evenly spread. Layers exchange with their
 * neighbours: dense beer over light beer overturns, heat through the wall stirs, and a share of what the surface takes up
 * sinks in plumes to its own level. Once the depth is richer than the top, mixing slows (a filling box).
 */
export interface BeerColumn {
  beerM3: number;
  readonly areaM2: number;
  /** mol/m3, surface first. */
  molPerM3: Float64Array;
  /** m3, surface first. */
  layerM3: Float64Array;
}

export const LAYERS = 8;

/** Relative density change per mol/m3 of CO2 (m3/mol): 44.0 g/mol less an apparent 33 cm3/mol. @source as src/physics reference: apparent molar volume from memory */
const CO2_DENSITY_M3_PER_MOL = 1.1e-5;
/** Beer is densest near here (°C): water at 4, less with extract and alcohol. Simulated value, no source. */
const DENSEST_C = 2.5;
/** Relative density change per K² off the densest point. @source expansion of water near 4 °C, CRC Handbook, from memory: 6.8e-6 */
const DENSITY_PER_K2 = 6.8e-6;
/** Difference of relative density at which overturning has its stated speed. */
const OVERTURN_REFERENCE = 1e-4;
/** Mixing velocity of a column that is firmly shaken (m/s). */
const SHAKEN_MIX_M_PER_S = 5e-3;

export function createColumn(beerM3: number, areaM2: number, topDepthM: number, molPerM3: number): BeerColumn {
  const column: BeerColumn = {
    beerM3,
    areaM2,
    molPerM3: new Float64Array(LAYERS).fill(molPerM3),
    layerM3: new Float64Array(LAYERS),
  };
  layOut(column.layerM3, beerM3, areaM2, topDepthM);
  return column;
}

function layOut(layerM3: Float64Array, beerM3: number, areaM2: number, topDepthM: number): void {
  const topM3 = Math.min(areaM2 * topDepthM, 0.15 * beerM3);
  layerM3.fill((beerM3 - topM3) / (LAYERS - 1));
  layerM3[0] = topM3;
}

export const at = (cells: Float64Array, index: number): number => cells[index] ?? 0;

/** All CO2 dissolved in the column (mol). */
export function dissolvedMol(column: BeerColumn): number {
  let mol = 0;
  for (let layer = 0; layer < LAYERS; layer += 1) mol += at(column.molPerM3, layer) * at(column.layerM3, layer);
  return mol;
}

/** Draws beer from the bottom and lays the layers out anew. Returns the CO2 that left with it (mol). */
export function drawFromBottom(column: BeerColumn, drawnM3: number, topDepthM: number): number {
  const before = dissolvedMol(column);
  const left = column.beerM3 - drawnM3;
  const layerM3 = new Float64Array(LAYERS);
  layOut(layerM3, left, column.areaM2, topDepthM);
  const molPerM3 = new Float64Array(LAYERS);
  let source = 0;
  let sourceLeft = at(column.layerM3, 0);
  for (let layer = 0; layer < LAYERS; layer += 1) {
    let wanted = at(layerM3, layer);
    let mol = 0;
    while (wanted > 0 && source < LAYERS) {
      const taken = Math.min(wanted, sourceLeft);
      mol += taken * at(column.molPerM3, source);
      wanted -= taken;
      sourceLeft -= taken;
      if (sourceLeft <= 0) {
        source += 1;
        sourceLeft = at(column.layerM3, source);
      }
    }
    molPerM3[layer] = mol / at(layerM3, layer);
  }
  column.beerM3 = left;
  column.layerM3 = layerM3;
  column.molPerM3 = molPerM3;
  return before - dissolvedMol(column);
}

export const relativeDensity = (beerC: number): number => -DENSITY_PER_K2 * (beerC - DENSEST_C) ** 2;

/** Diffusivity of CO2 in beer (m2/s). @source B. Jähne et al., J. Geophys. Res. 92, 10767, 1987, for water; over 1.3 for beer's viscosity */
export function diffusivity(beerC: number): number {
  return (5.019e-6 * Math.exp(-19510 / (8.31446 * (beerC + 273.15)))) / 1.3;
}

/** Kinematic viscosity of beer (m2/s). @source Vogel equation of water (Reid, Prausnitz, Poling), times 1.44 for beer */
export function viscosity(beerC: number): number {
  return (1.44 * 2.414e-5 * 10 ** (247.8 / (beerC + 133.15))) / 1000;
}

/**
 * Velocity of transfer through the surface (m/s): convection of sinking CO2-rich beer in series with the surface film.
 * @source cube-root law of turbulent natural convection, Sh = a·Ra^(1/3) (Incropera & DeWitt, ch. 9, by analogy)
 */
export function surfaceVelocity(traits: KegTraits, gapMolPerM3: number, topC: number, heatMPerS: number): number {
  const d = diffusivity(topC);
  const buoyancy = (9.81 * CO2_DENSITY_M3_PER_MOL * Math.abs(gapMolPerM3)) / (viscosity(topC) * d);
  let convective = traits.sherwood * d * Math.cbrt(buoyancy) + heatMPerS;
  if (gapMolPerM3 < 0) convective *= traits.desorptionRatio;
  return 1 / (1 / convective + 1 / traits.filmMPerS);
}

export interface Mixing {
  readonly traits: KegTraits;
  /** Mixing velocity by heat through the wall (m/s). */
  readonly heatMPerS: number;
  /** 0 at rest, 1 firmly shaken. */
  readonly agitation: number;
  readonly topC: number;
  readonly bulkC: number;
}

const exchange = new Float64Array(LAYERS);
const upper = new Float64Array(LAYERS);
const right = new Float64Array(LAYERS);

/** Fills `exchange` with the volume swapped between each layer and the next one below in a step (m3). */
function layExchange(column: BeerColumn, mixing: Mixing, dtS: number): void {
  const { traits } = mixing;
  const thermal = (relativeDensity(mixing.topC) - relativeDensity(mixing.bulkC)) / 2;
  const molecular = diffusivity(mixing.topC);
  for (let layer = 0; layer < LAYERS - 1; layer += 1) {
    const gap = at(column.molPerM3, layer) - at(column.molPerM3, layer + 1);
    // Heat settles in the upper part, so that only the two uppermost borders carry the difference of temperature.
    const unstable = CO2_DENSITY_M3_PER_MOL * gap + (layer < 2 ? thermal : 0);
    const distanceM = (at(column.layerM3, layer) + at(column.layerM3, layer + 1)) / (2 * column.areaM2);
    const ratio = layer === 0 ? 1 : traits.depthMixRatio;
    let velocity = molecular / distanceM + ratio * traits.restlessMPerS + mixing.agitation * SHAKEN_MIX_M_PER_S;
    if (unstable > 0) {
      velocity += mixing.heatMPerS + ratio * traits.overturnMPerS * Math.sqrt(unstable / OVERTURN_REFERENCE);
    } else {
      velocity += mixing.heatMPerS / (1 - unstable / traits.stableHalf);
    }
    exchange[layer] = velocity * column.areaM2 * dtS;
  }
}

/**
 * One step of the column under a surface at which equilibrium would be `equilibriumMolPerM3`. Returns what the beer took
 * up through its surface (mol, negative: gave off). Implicit in time (Thomas algorithm), so it keeps the amount of CO2
 * to rounding and bears any mixing velocity.
 */
export function stepColumn(
  column: BeerColumn,
  equilibriumMolPerM3: number,
  surfaceMPerS: number,
  mixing: Mixing,
  dtS: number,
): number {
  layExchange(column, mixing, dtS);
  const { molPerM3, layerM3 } = column;
  const surface = surfaceMPerS * column.areaM2 * dtS;
  let above = 0;
  for (let layer = 0; layer < LAYERS; layer += 1) {
    const below = layer < LAYERS - 1 ? at(exchange, layer) : 0;
    let diagonal = at(layerM3, layer) + above + below;
    let known = at(layerM3, layer) * at(molPerM3, layer);
    if (layer === 0) {
      diagonal += surface;
      known += surface * equilibriumMolPerM3;
    } else {
      diagonal -= above * at(upper, layer - 1);
      known += above * at(right, layer - 1);
    }
    upper[layer] = below / diagonal;
    right[layer] = known / diagonal;
    above = below;
  }
  let next = 0;
  for (let layer = LAYERS - 1; layer >= 0; layer -= 1) {
    next = at(right, layer) + at(upper, layer) * next;
    molPerM3[layer] = next;
  }
  const taken = surface * (equilibriumMolPerM3 - at(molPerM3, 0));
  if (taken > 0) sinkPlume(column, taken * mixing.traits.plumeShare);
  return taken;
}

/** Moves CO2 from the surface layer down to the deepest layer that is not yet denser. */
function sinkPlume(column: BeerColumn, mol: number): void {
  const { molPerM3, layerM3 } = column;
  let level = 0;
  while (level < LAYERS - 1 && at(molPerM3, level + 1) < at(molPerM3, 0)) level += 1;
  if (level === 0) return;
  molPerM3[0] = at(molPerM3, 0) - mol / at(layerM3, 0);
  molPerM3[level] = at(molPerM3, level) + mol / at(layerM3, level);
}
