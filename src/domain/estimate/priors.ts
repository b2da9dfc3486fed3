/** What is believed of a keg before anything is measured. Broad on purpose: no keg was measured for it. */
import { type Cloud, createCloud, deriveAll, fillEvenly, ownLasting } from './cloud.ts';
import type { Dice } from './dice.ts';
import { solubilityPerPa } from './law.ts';
import type { Filling } from './types.ts';

const DAY_S = 86_400;
/**
 * Median and spread (ln) of the time constant of a still full keg of 18.5 L: laid so that it takes one to two weeks at serving
 * pressure (common practice, no source).
 */
const TAU_S = 3.6 * DAY_S;
const TAU_SPREAD = 0.5;
/** Smallest and largest leak looked for (m2): from a day to minutes for an empty headspace. */
const LEAK_LOW_M2 = 8e-11;
const LEAK_HIGH_M2 = 4e-8;
/** Belief before anything is seen that a keg leaks. */
export const LEAK_PRIOR = 0.1;
/** Spread (Pa) of the pressure probe's zero, of an air pressure that is worked out, and of a barometer. */
const GAUGE_SPREAD_PA = 2100;
const WEATHER_PA = 700;
const BAROMETER_PA = 150;
/** Spread (ln) of what solubility is off by the error of the thermometer, by its place. */
const THERMOMETER_SPREAD = { thermowell: 0.009, wall: 0.016, air: 0.03 } as const;

export const zeroSpread = (fromBarometer: boolean, gaugePa = GAUGE_SPREAD_PA): number =>
  Math.hypot(gaugePa, fromBarometer ? BAROMETER_PA : WEATHER_PA);
export const etaSpread = (thermometer: Filling['thermometer']): number => THERMOMETER_SPREAD[thermometer];

const clamp = (value: number, low: number, high: number): number => Math.min(high, Math.max(low, value));
const finite = (value: number | null, instead: number): number =>
  value !== null && Number.isFinite(value) ? value : instead;

/** A filling without what cannot be: sizes of 1 to 1,000 L, beer at most brim-full, temperatures a beer can have. */
export interface Vessel {
  readonly totalM3: number;
  readonly beerM3: number;
  readonly areaM2: number;
  readonly areaSpread: number;
  readonly beerC: number | null;
}

export function vesselOf(filling: Filling): Vessel {
  const totalL = clamp(finite(filling.totalL, 19.5), 1, 1000);
  const beerL = clamp(finite(filling.beerL, 0.95 * totalL), 0.05 * totalL, 0.998 * totalL);
  const known = filling.diameterM !== null && filling.diameterM > 0.05 && filling.diameterM < 2;
  // Slim kegs to 30 L are about 0.215 m wide, larger ones about as high as 1.3 diameters.
  const usual = totalL <= 30 ? 0.215 : (totalL / 1000 / 1.02) ** (1 / 3);
  const diameterM = known && filling.diameterM !== null ? filling.diameterM : usual;
  return {
    totalM3: totalL / 1000,
    beerM3: beerL / 1000,
    areaM2: (Math.PI * diameterM ** 2) / 4,
    areaSpread: known ? 0.03 : 0.15,
    beerC: filling.beerC !== null && Number.isFinite(filling.beerC) ? clamp(filling.beerC, -3, 40) : null,
  };
}

export function freshLeak(dice: Dice): number {
  return LEAK_LOW_M2 * (LEAK_HIGH_M2 / LEAK_LOW_M2) ** dice.next();
}

/**
 * Air left after purging (Pa): about 0.36 of it after each turn; never: most often all of it, less what cooling and the beer
 * take of its pressure. Null: nobody said.
 */
export function drawAir(times: number | null, ambientPa: number, dice: Dice): number {
  if (times === null) {
    return drawAir(dice.next() < 0.8 ? 3 + Math.floor(3 * dice.next()) : 0, ambientPa, dice);
  }
  if (times <= 0) return ambientPa * (dice.next() < 0.6 ? 0.86 + 0.14 * dice.next() : dice.next());
  return Math.min(ambientPa, ambientPa * 0.36 ** Math.min(20, times) * Math.exp(0.4 * dice.normal()));
}

/** What the beer holds when it is filled (chart volumes). */
function drawStart(filling: Filling, ambientPa: number, dice: Dice): number {
  const fermentedC = finite(filling.fermentedC, clamp(finite(filling.beerC, 18), 14, 22) + 2 * dice.normal());
  const flat = solubilityPerPa(fermentedC) * ambientPa * (0.82 + 0.18 * dice.next()) + 0.03 * dice.normal();
  const anything = 0.6 + 2.6 * dice.next();
  switch (filling.beerState) {
    case 'flat':
    case 'priming':
      return Math.max(0, dice.next() < 0.03 ? anything : flat);
    case 'carbonated':
      return 1.1 + 2.3 * dice.next();
    case 'unknown':
      return Math.max(0, dice.next() < 0.6 ? anything : flat);
  }
}

/** What yeast will still make (volumes): the priming, or now and then a little that was left. */
function drawSugar(filling: Filling, dice: Dice): number {
  if (filling.beerState === 'priming') return 0.4 + 1.3 * dice.next();
  return dice.next() < 0.08 ? 0.6 * dice.next() : 0;
}

export function drawCloud(
  filling: Filling,
  ambientPa: number,
  fromBarometer: boolean,
  size: number,
  dice: Dice,
): Cloud {
  const tight = Math.round(0.7 * size);
  const cloud = createCloud(size, tight);
  const vessel = vesselOf(filling);
  const c = cloud.columns;
  for (let index = 0; index < size; index += 1) {
    const start = drawStart(filling, ambientPa, dice);
    fillEvenly(cloud, index, start);
    const space = vessel.totalM3 - vessel.beerM3 + 0.02 * vessel.totalM3 * dice.normal();
    c.space[index] = clamp(space, 0.004 * vessel.totalM3, 0.97 * vessel.totalM3);
    c.area[index] = vessel.areaM2 * Math.exp(vessel.areaSpread * dice.normal());
    c.air[index] = drawAir(null, ambientPa, dice);
    c.lnTau[index] = Math.log(TAU_S) + TAU_SPREAD * dice.normal();
    c.logitSurface[index] = -0.4 + 0.8 * dice.normal();
    c.lnDepth[index] = Math.log(0.033) + 0.35 * dice.normal();
    // From beer that is one below its top to a still column, where nearly half of what hinders lies far down.
    c.logitDeep[index] = -2 + dice.normal();
    c.deepShare[index] = 0.3 + 0.5 * dice.next();
    c.zero[index] = zeroSpread(fromBarometer) * dice.normal();
    c.eta[index] = etaSpread(filling.thermometer) * dice.normal();
    c.henry[index] = Math.exp(0.024 * dice.normal());
    c.xi[index] = 0.4 * dice.normal();
    c.psi[index] = 0;
    c.outgas[index] = 1.3 * Math.exp(0.6 * dice.normal());
    c.bubbles[index] = 2 * Math.exp(dice.normal());
    c.driven[index] = dice.next();
    c.floating[index] = 0.1 + 0.9 * dice.next();
    c.stir[index] = Math.exp(dice.normal());
    c.lnStone[index] = Math.log(17) + 0.4 * dice.normal();
    c.leak[index] = index < tight ? 0 : freshLeak(dice);
    c.sugar[index] = drawSugar(filling, dice);
    c.yeast[index] = Math.exp(0.7 * dice.normal()) / (2 * DAY_S);
    c.luckP[index] = dice.normal();
    c.luckT[index] = dice.normal();
    c.logWeight[index] = index < tight ? Math.log((1 - LEAK_PRIOR) / tight) : Math.log(LEAK_PRIOR / (size - tight));
  }
  deriveAll(cloud, vessel.totalM3);
  return cloud;
}

/** Shaking: 60 times a still keg, give or take; firmly in a check that is made to be shaken; carrying less. */
export function drawShake(cloud: Cloud, manner: 'shaken' | 'firm' | 'carried', dice: Dice): void {
  const { median, spread } = {
    shaken: { median: 60, spread: 1.2 },
    firm: { median: 70, spread: 1.3 },
    carried: { median: 12, spread: 1.2 },
  }[manner];
  for (let index = 0; index < cloud.size; index += 1) {
    cloud.columns.lnShake[index] = Math.max(0, Math.log(median) + spread * dice.normal());
  }
}

/** Whether the valve really was closed when that was entered: not in 4 of 100 cases, in 8 only some time later. */
export function drawHeld(cloud: Cloud, notClosed: number, later: number, dice: Dice): void {
  for (let index = 0; index < cloud.size; index += 1) {
    const draw = dice.next();
    cloud.columns.held[index] = draw < notClosed ? 1 : draw < notClosed + later ? 2 : 0;
  }
}

/** Zero of a probe that was just set right (Pa): 300 Pa, and what the air pressure is not known by. */
export function drawZeroed(cloud: Cloud, fromBarometer: boolean, dice: Dice): void {
  const spread = zeroSpread(fromBarometer, 300);
  ownLasting(cloud);
  const { zero } = cloud.columns;
  for (let index = 0; index < cloud.size; index += 1) zero[index] = spread * dice.normal();
}
