/** How well each particle tells what was measured. */
import { at, beerM3Of, type Cloud, contentOf } from './cloud.ts';
import type { Dice } from './dice.ts';
import { closedPressure, GAS_CONSTANT, MOL_PER_M3_VOLUME } from './motion.ts';

export interface Look {
  readonly gaugePa: number;
  readonly ambientPa: number;
  readonly energy: number;
  /** Pressure of the supply before the gas was closed, by the probe (Pa gauge). */
  readonly supplyPa: number;
  readonly dtS: number;
  readonly closedS: number;
  /** How much warmer the beer is than when the gas was closed (K). */
  readonly warmedK: number;
}

/** Spread of the model's error (Pa), and its share of how far the pressure has moved since the gas was closed. */
const SPREAD_PA = 900;
const SPREAD_SHARE = 0.07;
/** The same for leaking particles: a hole is not always a sharp one. */
const LEAK_SPREAD_SHARE = 0.08;
/** Share of the pressure (per K) by which a beer's solubility may change otherwise than the chart's, as charts among themselves do. */
const LAW_SHARE_PER_K = 0.0015;
/** Readings this far apart count as independent (s); the model's error does not average out, so that later ones count less. */
const INDEPENDENT_S = 900;
const FADING_S = 3600;
const LEAST_COUNT = 0.08;

/** Weighs particles of a closed keg by its pressure, with the long tails of Student's t of 4 degrees: no reading decides alone. */
export function judgeClosed(cloud: Cloud, look: Look): void {
  const { logWeight, held, zero } = cloud.columns;
  const moved = look.supplyPa - look.gaugePa;
  const law = LAW_SHARE_PER_K * look.warmedK * (look.gaugePa + look.ambientPa);
  const tightSpread = Math.hypot(SPREAD_PA, SPREAD_SHARE * moved, law);
  const leakSpread = Math.hypot(SPREAD_PA, LEAK_SPREAD_SHARE * moved, law);
  const count = (look.dtS / INDEPENDENT_S) * Math.max(LEAST_COUNT, 1 / (1 + look.closedS / FADING_S));
  for (let index = 0; index < cloud.size; index += 1) {
    const told =
      at(held, index) > 0
        ? look.supplyPa
        : closedPressure(cloud, index, look.energy) - look.ambientPa + at(zero, index);
    const spread = index < cloud.tight ? tightSpread : leakSpread;
    const z = (look.gaugePa - told) / spread;
    const log = 2.5 * Math.log(1 + (z * z) / 4) + (index < cloud.tight ? 0 : Math.log(leakSpread / tightSpread));
    logWeight[index] = at(logWeight, index) - log * count;
  }
}

/** Takes the measured pressure as that of the headspace, from which it goes on closed. */
export function anchor(cloud: Cloud, index: number, absolutePa: number, co2Ratio: number, energy: number): void {
  const { gas, inert, air, zero, space } = cloud.columns;
  const pressure = Math.max(1000, absolutePa - at(zero, index));
  air[index] = Math.min(at(air, index), 0.98 * pressure);
  const other = (1 - co2Ratio) * (pressure - at(air, index));
  inert[index] = at(air, index) + other;
  gas[index] = Math.max(1e-6, ((pressure - at(inert, index)) * at(space, index)) / energy);
}

/** A content that was measured on a sample (chart volumes). */
export function judgeSample(cloud: Cloud, volumes: number, spread: number): void {
  const { logWeight } = cloud.columns;
  for (let index = 0; index < cloud.size; index += 1) {
    const z = (volumes - contentOf(cloud, index)) / spread;
    logWeight[index] = at(logWeight, index) - 2.5 * Math.log(1 + (z * z) / 4);
  }
}

const CO2_KG_PER_MOL = 0.0440095;
const AIR_KG_PER_MOL = 0.0289644;

/** All gas in a particle, dissolved and above the beer (kg). */
export function gasKg(cloud: Cloud, index: number, closed: boolean, absolutePa: number, beerC: number): number {
  const { space, henry, gas, air, zero, held } = cloud.columns;
  const energy = GAS_CONSTANT * (beerC + 273.15);
  const dissolved = MOL_PER_M3_VOLUME * at(henry, index) * contentOf(cloud, index) * beerM3Of(cloud, index);
  const open = !closed || at(held, index) > 0;
  const above = open
    ? (Math.max(0, absolutePa - at(zero, index) - at(air, index)) * at(space, index)) / energy
    : at(gas, index);
  return CO2_KG_PER_MOL * (dissolved + above) + (AIR_KG_PER_MOL * at(air, index) * at(space, index)) / energy;
}

/** Weighs particles by what the keg gained in mass since it was first weighed, less the beer that was drawn. */
export function judgeGain(cloud: Cloud, gasNow: Float64Array, gainKg: number, spreadKg: number): void {
  const { logWeight, weighed } = cloud.columns;
  for (let index = 0; index < cloud.size; index += 1) {
    const z = (gainKg - (at(gasNow, index) - at(weighed, index))) / spreadKg;
    logWeight[index] = at(logWeight, index) - 2.5 * Math.log(1 + (z * z) / 4);
  }
}

/** Closes, a little later than entered, particles that were to be closed later. */
export function closeLate(cloud: Cloud, absolutePa: number, co2Ratio: number, energy: number, dice: Dice): void {
  const { held } = cloud.columns;
  for (let index = 0; index < cloud.size; index += 1) {
    if (at(held, index) !== 2 || dice.next() > 0.25) continue;
    anchor(cloud, index, absolutePa, co2Ratio, energy);
    held[index] = 0;
  }
}
