/** How a particle moves on: gas through the surface, gas from layer to layer, leak, yeast. Volumes are chart volumes. */
import { OFFSET_VOLUMES } from '../../physics/carbonation.ts';
import { at, type Cloud } from './cloud.ts';

/** mol of CO2 per m3 of beer and volume. @source real molar volume of CO2 at 0 degC and 101.325 kPa: 22.263 L/mol */
export const MOL_PER_M3_VOLUME = 1000 / 22.263;
export const GAS_CONSTANT = 8.31446;
/**
 * Flow through a hole per area and Pa while it is choked (mol/(s Pa m2)), and the ratio of pressures at which it ceases to be.
 * @source isentropic nozzle flow of CO2 near 5 degC, coefficient 0.6; ISO 6358: an ellipse below the critical ratio
 */
const CHOKED_FLOW = 0.04;
const CRITICAL_RATIO = 0.546;

/** Flow through a hole (mol/s). */
function leakFlow(areaM2: number, inside: number, outside: number): number {
  const over = Math.max(0, outside / inside - CRITICAL_RATIO) / (1 - CRITICAL_RATIO);
  return CHOKED_FLOW * areaM2 * inside * Math.sqrt(Math.max(0, 1 - over * over));
}

/** What all particles share in a part of a step. Pressures in Pa absolute. */
export interface Around {
  readonly dtS: number;
  /** Chart's solubility at the beer's temperature (volumes per Pa), R T (J/mol). */
  readonly solubility: number;
  readonly energy: number;
  readonly pressure: number;
  readonly ambient: number;
  readonly co2Ratio: number;
  /** Share by which warm beer is faster; cooling or warming (K/h); factor of yeast's speed against 20 degC. */
  readonly quickness: number;
  readonly heatKPerHour: number;
  readonly yeastFactor: number;
  /** How unknown pressure (Pa) and solubility (share) are at present: 0 while the probes speak. */
  readonly spreadPa: number;
  readonly spreadShare: number;
  /** Open, but under less than the outer pressure: air is drawn in. */
  readonly breathing: boolean;
  /** How the keg is stirred. */
  readonly stirred: 'still' | 'shaken' | 'stone';
}

/** 1 - exp(-x) for x >= 0, within 1e-4 of it. */
function reached(x: number): number {
  return x < 0.5 ? x / (1 + x * (0.5 + x / 12)) : 1 - Math.exp(-x);
}

/** How much faster supersaturated beer gives off: bubbles help beyond a quarter of a volume. */
function giving(cloud: Cloud, index: number, gap: number): number {
  const { outgas, bubbles } = cloud.columns;
  return at(outgas, index) * (1 + Math.min(6, at(bubbles, index) * Math.max(0, -gap - 0.25)));
}

/** Difference at which driven exchange has its stated speed (volumes). */
const DRIVING_VOLUMES = 0.5;

/**
 * Beer that took up CO2 is denser and sinks: exchange slows as the difference that drives it fades.
 * @source cube-root law of turbulent natural convection (Incropera & DeWitt, ch. 9, by analogy)
 */
function drivenBy(difference: number, driven: number): number {
  return 1 + driven * (Math.cbrt(Math.abs(difference) / DRIVING_VOLUMES) - 1);
}

function gainOf(cloud: Cloud, index: number, stirred: Around['stirred']): number {
  if (stirred === 'still') return 1;
  return Math.exp(at(stirred === 'shaken' ? cloud.columns.lnShake : cloud.columns.lnStone, index));
}

/** How fast two layers mix of themselves; `difference`: what the upper one holds more than the lower (volumes). */
function natural(cloud: Cloud, index: number, difference: number): number {
  const { driven, floating } = cloud.columns;
  return difference < 0 ? at(floating, index) : drivenBy(difference, at(driven, index));
}

/** Mixes top, bulk and deep. */
function mix(cloud: Cloud, index: number, around: Around, gain: number): void {
  const { top, bulk, deep, topM3, bulkM3, deepM3, mixRate, mixM3, deepRate, deepMixM3, stir } = cloud.columns;
  const stirring = at(stir, index) * around.heatKPerHour;
  const dtS = around.quickness * around.dtS;
  const above = at(top, index) - at(bulk, index);
  const rate = at(mixRate, index) * (gain > 1 ? 4 * gain : natural(cloud, index, above) + stirring);
  const moved = above * at(mixM3, index) * reached(rate * dtS);
  top[index] = at(top, index) - moved / at(topM3, index);
  const middle = at(bulk, index) + moved / at(bulkM3, index);
  const below = middle - at(deep, index);
  const deepPace = at(deepRate, index) * (gain > 1 ? 4 * gain : natural(cloud, index, below) + stirring);
  const sunk = below * at(deepMixM3, index) * reached(deepPace * dtS);
  bulk[index] = middle - sunk / at(bulkM3, index);
  deep[index] = at(deep, index) + sunk / at(deepM3, index);
}

/** A particle under a pressure that is given: the measured one, whoever holds it. */
export function moveOpen(cloud: Cloud, from: number, until: number, around: Around): void {
  const { top, air, zero, warmth, surfaceRate, driven, luckP, luckT } = cloud.columns;
  const { dtS, solubility, co2Ratio, quickness, spreadPa, spreadShare, stirred } = around;
  for (let index = from; index < until; index += 1) {
    const pressure = around.pressure - at(zero, index) + spreadPa * at(luckP, index);
    const henry = solubility * at(warmth, index) * Math.max(0.3, 1 + spreadShare * at(luckT, index));
    const goal = Math.max(0, henry * co2Ratio * Math.max(0, pressure - at(air, index)) - OFFSET_VOLUMES);
    const gap = goal - at(top, index);
    const gain = gainOf(cloud, index, stirred);
    let rate = at(surfaceRate, index) * quickness * (gain > 1 ? gain : drivenBy(gap, at(driven, index)));
    if (gap < 0) rate *= giving(cloud, index, gap);
    const risen = gap * reached(rate * dtS);
    top[index] = at(top, index) + risen;
    if (around.breathing && risen > 0) breathe(cloud, index, around, pressure, risen);
    mix(cloud, index, around, gain);
  }
}

/** Part of a leap that each of its two stages takes, and how far the first is drawn out for the second. */
const STAGE = 1 - Math.SQRT1_2;
const DRAWN_OUT = 1 + Math.SQRT2;

/**
 * As `moveOpen` at rest, for steps of hours: all layers are solved together, with what drives them as it is at the beginning.
 * @source R. Alexander 1977: diagonally implicit Runge-Kutta method of two stages, L-stable
 */
export function leapOpen(cloud: Cloud, index: number, around: Around): void {
  const { top, bulk, deep, air, zero, warmth, surfaceRate, driven, luckP, luckT } = cloud.columns;
  const { mixRate, mixM3, deepRate, deepMixM3, topM3, bulkM3, deepM3 } = cloud.columns;
  const pressure = around.pressure - at(zero, index) + around.spreadPa * at(luckP, index);
  const henry = around.solubility * at(warmth, index) * Math.max(0.3, 1 + around.spreadShare * at(luckT, index));
  const goal = Math.max(0, henry * around.co2Ratio * Math.max(0, pressure - at(air, index)) - OFFSET_VOLUMES);
  const x = at(top, index) - goal;
  const y = at(bulk, index) - goal;
  const z = at(deep, index) - goal;
  const stageS = STAGE * around.quickness * around.dtS;
  const giveOff = x > 0 ? giving(cloud, index, -x) : 1;
  const surface = stageS * at(surfaceRate, index) * drivenBy(x, at(driven, index)) * giveOff;
  const mixed = stageS * at(mixRate, index) * natural(cloud, index, x - y) * at(mixM3, index);
  const sunk = stageS * at(deepRate, index) * natural(cloud, index, y - z) * at(deepMixM3, index);
  const down = mixed / at(topM3, index);
  const up = mixed / at(bulkM3, index);
  const further = sunk / at(bulkM3, index);
  const back = sunk / at(deepM3, index);
  // Elimination of a matrix with three diagonals, the same for both stages.
  const lowest = 1 + back;
  const middle = 1 + up + further - (further * back) / lowest;
  const highest = 1 + surface + down - (down * up) / middle;
  let a = x;
  let b = y;
  let c = z;
  for (let stage = 0; stage < 2; stage += 1) {
    const fromBelow = b + (further * c) / lowest;
    const upper = (a + (down * fromBelow) / middle) / highest;
    const inner = (fromBelow + up * upper) / middle;
    const lower = (c + back * inner) / lowest;
    a = stage === 0 ? x + DRAWN_OUT * (upper - x) : upper;
    b = stage === 0 ? y + DRAWN_OUT * (inner - y) : inner;
    c = stage === 0 ? z + DRAWN_OUT * (lower - z) : lower;
  }
  top[index] = goal + a;
  bulk[index] = goal + b;
  deep[index] = goal + c;
}

/** Below the outer pressure no gas comes from a supply: what keeps the pressure up while the beer takes up CO2 is air. */
function breathe(cloud: Cloud, index: number, around: Around, pressure: number, risen: number): void {
  const { air, space, henry, topM3 } = cloud.columns;
  const mol = MOL_PER_M3_VOLUME * at(henry, index) * risen * at(topM3, index);
  air[index] = Math.min(pressure, at(air, index) + (mol * around.energy) / at(space, index));
}

/** A closed particle: what the beer takes up is missing in the headspace. Keeps the amount of CO2 to rounding. */
export function moveClosed(cloud: Cloud, index: number, around: Around): void {
  const { top, gas, space, topM3, warmth, henry, surfaceRate, driven } = cloud.columns;
  const solubility = around.solubility * at(warmth, index);
  const headspaceM3 = at(space, index);
  const goal = Math.max(0, (solubility * at(gas, index) * around.energy) / headspaceM3 - OFFSET_VOLUMES);
  const gap = goal - at(top, index);
  const gain = gainOf(cloud, index, around.stirred === 'stone' ? 'still' : around.stirred);
  let rate = at(surfaceRate, index) * around.quickness * (gain > 1 ? gain : drivenBy(gap, at(driven, index)));
  if (gap < 0) rate *= giving(cloud, index, gap);
  const molPerVolume = MOL_PER_M3_VOLUME * at(henry, index);
  /** The volume of beer that holds as much per change of pressure as the headspace does. */
  const likeBeerM3 = headspaceM3 / (around.energy * molPerVolume * solubility);
  const upper = at(topM3, index);
  const both = 1 / upper + 1 / likeBeerM3;
  const taken = (gap * reached(rate * upper * both * around.dtS)) / both;
  const bounded = Math.min(taken, (0.999 * at(gas, index)) / molPerVolume);
  top[index] = at(top, index) + bounded / upper;
  gas[index] = at(gas, index) - molPerVolume * bounded;
  mix(cloud, index, around, gain);
}

/** Pressure in the headspace of a closed particle (Pa absolute). */
export function closedPressure(cloud: Cloud, index: number, energy: number): number {
  const { gas, space, inert } = cloud.columns;
  return (at(gas, index) * energy) / at(space, index) + at(inert, index);
}

/** Parts in which a step of a leak is solved. */
const LEAK_PARTS = 4;

/** A closed particle's leak: all gases leave alike, and none is left over the outer pressure; under it air comes in. */
export function leakClosed(cloud: Cloud, index: number, around: Around): void {
  const { gas, inert, air, leak, space } = cloud.columns;
  const { ambient, energy } = around;
  const partS = around.dtS / LEAK_PARTS;
  const perMol = energy / at(space, index);
  const before = closedPressure(cloud, index, energy);
  if (before <= ambient) {
    const pace = perMol * leakFlow(at(leak, index), ambient, 0) * around.dtS;
    const drawn = (ambient - before) * reached(pace / ambient);
    inert[index] = at(inert, index) + drawn;
    air[index] = at(air, index) + drawn;
    return;
  }
  let after = before;
  for (let part = 0; part < LEAK_PARTS; part += 1) {
    const excess = after - ambient;
    if (excess < 1) break;
    after -= excess * reached((leakFlow(at(leak, index), after, ambient) * perMol * partS) / excess);
  }
  const left = after / before;
  gas[index] = at(gas, index) * left;
  inert[index] = at(inert, index) * left;
  air[index] = at(air, index) * left;
}

/** On gas a leak is made up for, but it sweeps air out. */
export function sweepOpen(cloud: Cloud, index: number, around: Around): void {
  const { air, leak, space, zero } = cloud.columns;
  const pressure = Math.max(around.ambient, around.pressure - at(zero, index));
  const flow = leakFlow(at(leak, index), pressure, around.ambient);
  const share = (flow * around.dtS * around.energy) / (at(space, index) * pressure);
  air[index] = at(air, index) * Math.exp(-share);
}

/** Yeast makes CO2 from what it still finds. */
export function ferment(cloud: Cloud, from: number, until: number, around: Around): void {
  const { sugar, yeast, top, bulk, deep } = cloud.columns;
  for (let index = from; index < until; index += 1) {
    const left = at(sugar, index);
    if (left <= 0) continue;
    const made = left * (1 - Math.exp(-at(yeast, index) * around.yeastFactor * around.dtS));
    sugar[index] = left - made;
    top[index] = at(top, index) + made;
    bulk[index] = at(bulk, index) + made;
    deep[index] = at(deep, index) + made;
  }
}
