/** One step of all particles: inputs, motion, judgement, renewal. */
import { at, type Cloud, hasten } from './cloud.ts';
import type { Course } from './course.ts';
import { anchorAll } from './deeds.ts';
import type { Dice } from './dice.ts';
import { anchor, closeLate, judgeClosed } from './judge.ts';
import { solubilityPerPa } from './law.ts';
import { type Around, ferment, GAS_CONSTANT, leakClosed, moveClosed, moveOpen, sweepOpen } from './motion.ts';
import { etaSpread } from './priors.ts';
import type { EstimateStep } from './types.ts';
import { normalise, renew } from './weights.ts';

const HOUR_S = 3600;
/** Part of a step in which a shaken keg, one with a stone, one at rest may be taken as steady (s). */
const SHAKEN_PART_S = 30;
const STONE_PART_S = 100;

/** Moves the particles on. The pressure of open ones is the measured one, or the last, ever less surely. */
export function move(cloud: Cloud, course: Course, dtS: number): void {
  let leftS = dtS;
  while (leftS > 1e-6) {
    const shaken = course.shakeLeftS > 0;
    const stone = !shaken && course.stoneLeftS > 0;
    let partS = leftS;
    if (shaken) partS = Math.min(partS, SHAKEN_PART_S, course.shakeLeftS);
    else if (stone) partS = Math.min(partS, STONE_PART_S, course.stoneLeftS);
    movePart(cloud, course, around(course, partS, shaken ? 'shaken' : stone ? 'stone' : 'still'));
    course.shakeLeftS = Math.max(0, course.shakeLeftS - partS);
    course.stoneLeftS = Math.max(0, course.stoneLeftS - partS);
    leftS -= partS;
  }
}

/** Hours of silence after which the last value is no longer taken as sure. */
const SURE_H = 0.5;

function spreadPaOf(course: Course): number {
  if (!course.gaugeKnown) return course.settingPa === null ? 25_000 : 10_000;
  return course.gaugeSilentH < SURE_H ? 0 : Math.min(15_000, 1500 * Math.sqrt(course.gaugeSilentH));
}

function spreadShareOf(course: Course): number {
  if (!course.beerKnown) return 0.12;
  return course.beerSilentH < SURE_H ? 0 : Math.min(0.15, 0.012 * Math.sqrt(course.beerSilentH));
}

export function around(course: Course, dtS: number, stirred: Around['stirred']): Around {
  return {
    dtS,
    solubility: solubilityPerPa(course.beerC),
    energy: GAS_CONSTANT * (course.beerC + 273.15),
    pressure: course.gaugePa + course.ambientPa,
    ambient: course.ambientPa,
    co2Ratio: course.co2Ratio,
    quickness: Math.max(0.5, 1 + 0.02 * (course.beerC - 4)),
    heatKPerHour: Math.min(5, course.heatKPerHour),
    yeastFactor: 2.2 ** ((course.beerC - 20) / 10),
    spreadPa: spreadPaOf(course),
    spreadShare: spreadShareOf(course),
    breathing: course.gas !== 'closed' && course.gaugePa < -1500,
    stirred,
  };
}

function movePart(cloud: Cloud, course: Course, now: Around): void {
  if (course.gas === 'on' || course.unanchored) {
    moveOpen(cloud, 0, cloud.size, now);
    for (let index = cloud.tight; index < cloud.size; index += 1) sweepOpen(cloud, index, now);
  } else {
    for (let index = 0; index < cloud.size; index += 1) {
      const leaking = index >= cloud.tight;
      if (at(cloud.columns.held, index) > 0) {
        moveOpen(cloud, index, index + 1, now);
        if (leaking) sweepOpen(cloud, index, now);
      } else {
        moveClosed(cloud, index, now);
        if (leaking) leakClosed(cloud, index, now);
      }
    }
  }
  ferment(cloud, 0, cloud.size, now);
}

/** Share of a lagging thermometer's step towards a value. */
const follow = (dtS: number, lagS: number): number => 1 - Math.exp(-dtS / lagS);

/** How far behind the beer is behind what a thermometer outside it shows (s), for a keg of 19 L. */
const LAG_S = { thermowell: 0, wall: 1.5 * HOUR_S, air: 10 * HOUR_S } as const;

function takeTemperature(course: Course, beerC: number | null, dtS: number): void {
  const usable = beerC !== null && Number.isFinite(beerC) && beerC > -10 && beerC < 45;
  if (!usable) {
    course.beerSilentH += dtS / HOUR_S;
    course.heatKPerHour *= Math.exp(-dtS / HOUR_S);
    return;
  }
  const before = course.beerC;
  const lagS = LAG_S[course.filling.thermometer] * Math.sqrt(course.totalM3 / 0.0195);
  if (!course.beerKnown && (lagS === 0 || course.filling.beerC === null)) course.beerC = beerC;
  else course.beerC += (beerC - course.beerC) * (lagS === 0 ? 1 : follow(dtS, lagS));
  if (course.beerKnown && course.beerSilentH < SURE_H) {
    const pace = (Math.abs(course.beerC - before) * HOUR_S) / dtS;
    course.heatKPerHour += (pace - course.heatKPerHour) * follow(dtS, HOUR_S);
  }
  course.beerKnown = true;
  course.beerSilentH = 0;
}

/** Takes the step's pressure (Pa gauge). Returns whether it is a usable one. */
function takePressure(course: Course, kpaGauge: number | null, dtS: number): boolean {
  const usable = kpaGauge !== null && Number.isFinite(kpaGauge) && kpaGauge > -60 && kpaGauge < 900;
  if (!usable) {
    course.gaugeSilentH += dtS / HOUR_S;
    return false;
  }
  const pressure = Math.max(kpaGauge * 1000, 1000 - course.ambientPa);
  course.lastMovePa = course.gaugeKnown && course.gaugeSilentH < 0.26 ? pressure - course.gaugePa : 0;
  course.gaugePa = pressure;
  course.gaugeKnown = true;
  course.gaugeSilentH = 0;
  return true;
}

function takeInputs(course: Course, step: EstimateStep, dtS: number): boolean {
  if (step.ambientKpaAbsolute > 30 && step.ambientKpaAbsolute < 115) {
    course.ambientPa = step.ambientKpaAbsolute * 1000;
    course.fromBarometer = step.ambientFromBarometer;
  }
  course.co2Ratio = step.co2Ratio >= 0 && step.co2Ratio <= 1 ? step.co2Ratio : 1;
  takeTemperature(course, step.beerC, dtS);
  const heard = takePressure(course, step.headspaceKpaGauge, dtS);
  if (!heard && !course.gaugeKnown) course.gaugePa = Math.min(300_000, course.settingPa ?? 75_000);
  return heard;
}

/** A change within one step that no leak or uptake makes, unless it goes on (Pa). */
const JUMP_PA = 4000;

/**
 * Whether a closed keg's pressure just jumped for a reason nobody entered: someone poured, vented or opened the valve. A jump
 * that goes on is none: then it is a leak.
 */
function isJump(course: Course, beforePa: number): 'no' | 'wait' | 'settled' {
  if (course.jumpPa !== 0) {
    const settled = Math.abs(course.lastMovePa) < 0.25 * Math.abs(course.jumpPa);
    return settled ? 'settled' : 'no';
  }
  if (course.restS < 1800 || course.closedS < 900) return 'no';
  return Math.abs(course.lastMovePa) > JUMP_PA && Math.abs(beforePa) < 0.3 * Math.abs(course.lastMovePa)
    ? 'wait'
    : 'no';
}

function judge(cloud: Cloud, course: Course, dice: Dice, dtS: number, beforePa: number): boolean {
  const jump = isJump(course, beforePa);
  const size = course.jumpPa;
  course.jumpPa = jump === 'wait' ? course.lastMovePa : 0;
  if (jump === 'wait') return false;
  const energy = GAS_CONSTANT * (course.beerC + 273.15);
  if (jump === 'settled') {
    anchorAll(cloud, course, course.gaugePa);
    // Upwards it may well be the supply again.
    if (size > 0) {
      for (let index = 0; index < cloud.size; index += 1) cloud.columns.held[index] = dice.next() < 0.5 ? 1 : 0;
      course.supplyPa = course.gaugePa;
    }
    return false;
  }
  const { gaugePa, ambientPa, supplyPa, closedS } = course;
  const warmedK = course.beerC - course.closedC;
  judgeClosed(cloud, { gaugePa, ambientPa, supplyPa, closedS, energy, dtS, warmedK });
  if (closedS < 3 * HOUR_S) closeLate(cloud, gaugePa + ambientPa, course.co2Ratio, energy, dice);
  return true;
}

/** While nobody said whether the gas is on, now and then a particle changes its mind, so that neither is ever lost. */
function wonder(cloud: Cloud, course: Course, dice: Dice): void {
  const energy = GAS_CONSTANT * (course.beerC + 273.15);
  for (let index = 0; index < cloud.size; index += 1) {
    if (dice.next() > 0.02) continue;
    const open = at(cloud.columns.held, index) > 0;
    cloud.columns.held[index] = open ? 0 : 1;
    if (open) anchor(cloud, index, course.gaugePa + course.ambientPa, course.co2Ratio, energy);
  }
}

const XI_SPREAD = 0.4;
const PSI_SPREAD = 0.25;
const WANDER_S = 1.5 * 86_400;
const WANDER_EVERY_S = 1800;

/** Lets the speeds wander: nothing in a keg is as steady as two layers. */
function wander(cloud: Cloud, course: Course, dice: Dice, dtS: number): void {
  course.driftS += dtS;
  if (course.driftS < WANDER_EVERY_S) return;
  const kept = Math.exp(-course.driftS / WANDER_S);
  const fresh = Math.sqrt(1 - kept * kept);
  course.driftS = 0;
  const { xi, psi } = cloud.columns;
  for (let index = 0; index < cloud.size; index += 1) {
    const lnMix = (kept - 1) * at(xi, index) + XI_SPREAD * fresh * dice.normal();
    const lnSurface = (kept - 1) * at(psi, index) + PSI_SPREAD * fresh * dice.normal();
    hasten(cloud, index, lnSurface, lnMix);
  }
  if (course.gas === 'unknown') wonder(cloud, course, dice);
}

/** The supply's pressure while open: a mean over a quarter of an hour; while nobody knows, over hours. */
function rememberSupply(course: Course, dtS: number): void {
  const share = follow(dtS, course.gas === 'unknown' ? 2 * HOUR_S : 450);
  const far = Math.abs(course.gaugePa - course.supplyPa) > 8000;
  course.supplyPa =
    course.supplyKnown && !far ? course.supplyPa + (course.gaugePa - course.supplyPa) * share : course.gaugePa;
  course.supplyKnown = true;
}

/** Air left with the gas that was vented: as much of it as of the pressure. */
function thinAir(cloud: Cloud, course: Course): void {
  const left = Math.min(1, Math.max(0.2, (course.gaugePa + course.ambientPa) / course.ventedPa));
  const { air } = cloud.columns;
  for (let index = 0; index < cloud.size; index += 1) air[index] = at(air, index) * left;
  course.ventedPa = 0;
}

function watchSetting(course: Course, heard: boolean, dtS: number): void {
  if (!heard || course.settingPa === null || course.gas !== 'on') return;
  course.belowSettingS = course.gaugePa < course.settingPa - 10_000 ? course.belowSettingS + dtS : 0;
}

/**
 * A leak is `likely` from a belief of 0.95 until it falls below 0.6, `suspected` from 0.4 until below 0.25: between them nothing
 * changes, so that the word does not flicker. It can only be learnt while the gas is closed.
 */
export function nameLeak(course: Pick<Course, 'leak' | 'leakProbability'>): void {
  const belief = course.leakProbability;
  if (belief >= 0.95 || (course.leak === 'likely' && belief >= 0.6)) course.leak = 'likely';
  else if (belief >= 0.4 || (course.leak !== 'none' && belief >= 0.25)) course.leak = 'suspected';
  else course.leak = 'none';
}

/** A step whose events have been applied. `eventful`: some have, so that this step's mean pressure says nothing. */
export function walk(
  cloud: Cloud,
  course: Course,
  dice: Dice,
  step: EstimateStep,
  dtS: number,
  eventful: boolean,
  weights: Float64Array,
): void {
  const beforePa = course.lastMovePa;
  const heard = takeInputs(course, step, dtS);
  if (course.ventedPa > 0 && heard && !eventful) thinAir(cloud, course);
  const stirred = course.shakeLeftS > 0;
  move(cloud, course, dtS);
  course.restS = stirred ? 0 : course.restS + dtS;
  watchSetting(course, heard, dtS);
  let judged = eventful;
  if (course.gas !== 'on') {
    course.closedS += dtS;
    if (course.unanchored) {
      if (!eventful) anchorAll(cloud, course, course.gaugePa);
    } else if (heard && !eventful && !stirred) {
      judged = judge(cloud, course, dice, dtS, beforePa) || judged;
    }
  }
  if (heard && course.gas !== 'closed') rememberSupply(course, dtS);
  wander(cloud, course, dice, dtS);
  if (judged) settle(cloud, course, dice, weights, leaksAreDue(course, dtS));
}

const LEAKS_BEGIN_S = 1800;

/** Whether it is time again, in a closed keg, to think of leaks that begin. */
function leaksAreDue(course: Course, dtS: number): boolean {
  if (course.gas === 'on') return false;
  return Math.floor(course.closedS / LEAKS_BEGIN_S) > Math.floor((course.closedS - dtS) / LEAKS_BEGIN_S);
}

/** Weights add up to one again, and particles that carry none are renewed. */
export function settle(cloud: Cloud, course: Course, dice: Dice, weights: Float64Array, leaksBegin = false): void {
  const leaking = normalise(cloud, weights);
  course.leakProbability = leaking;
  nameLeak(course);
  renew(cloud, weights, leaking, {
    totalM3: course.totalM3,
    dice,
    solubility: solubilityPerPa(course.beerC),
    energy: GAS_CONSTANT * (course.beerC + 273.15),
    unseen: course.observed ? null : { zeroPa: course.zeroSpreadPa, eta: etaSpread(course.filling.thermometer) },
    leaksBegin,
  });
}
