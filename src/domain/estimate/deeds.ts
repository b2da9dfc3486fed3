/** What an entered event does to the particles. Each applies at the beginning of the step in which it happened. */
import { at, type Cloud, deriveAll, ownLasting } from './cloud.ts';
import type { Course } from './course.ts';
import type { Dice } from './dice.ts';
import { anchor, gasKg, judgeGain, judgeSample } from './judge.ts';
import { GAS_CONSTANT } from './motion.ts';
import { drawAir, drawHeld, drawShake, drawZeroed, zeroSpread } from './priors.ts';
import type { StepEvent } from './types.ts';

const NOT_CLOSED = 0.04;
const CLOSED_LATER = 0.08;
const STONE_S = 10 * 3600;
const CARRIED_S = 120;
const CHECK_SHAKE_S = 120;
/** A shake longer than this counts as one of this length: by then the keg is level (s). */
const LONGEST_SHAKE_S = 3600;

const bounded = (value: number, low: number, high: number): number =>
  Number.isFinite(value) ? Math.min(high, Math.max(low, value)) : low;

export function apply(event: StepEvent, cloud: Cloud, course: Course, dice: Dice): void {
  switch (event.kind) {
    case 'gas-opened':
      open(cloud, course);
      return;
    case 'gas-closed':
      close(cloud, course, dice);
      return;
    case 'gas-check-started':
      startCheck(event.shaken, cloud, course, dice);
      return;
    case 'gas-check-ended':
      endCheck(cloud, course);
      return;
    case 'purged':
      purge(event.times, event.kpaGauge, cloud, course, dice);
      return;
    case 'vented':
      if (course.gaugeKnown) course.ventedPa = course.gaugePa + course.ambientPa;
      course.unanchored = true;
      course.restS = 0;
      return;
    case 'moved':
      shake('carried', CARRIED_S, cloud, course, dice);
      return;
    case 'shaken':
      shake(course.shakenCheck ? 'firm' : 'shaken', event.seconds, cloud, course, dice);
      return;
    case 'drawn':
      drawBeer(event.litres, cloud, course);
      return;
    case 'stone-started':
      course.stoneLeftS = STONE_S;
      return;
    case 'probe-zeroed':
      drawZeroed(cloud, course.fromBarometer, dice);
      course.zeroSpreadPa = zeroSpread(course.fromBarometer, 300);
      course.unanchored = true;
      return;
    case 'weighed':
      weigh(event.kg, event.plusMinusKg, cloud, course);
      return;
    case 'sample-measured':
      if (!Number.isFinite(event.volumes) || event.volumes < 0 || event.volumes > 8) return;
      judgeSample(cloud, event.volumes, bounded(Math.hypot(event.plusMinus, 0.02), 0.03, 2));
      course.observed = true;
      return;
    case 'regulator-set':
      course.settingPa = bounded(event.kpaGauge, 0, 1000) * 1000;
      course.belowSettingS = 0;
  }
}

function open(cloud: Cloud, course: Course): void {
  course.gas = 'on';
  course.shakenCheck = false;
  course.shakeOwed = false;
  course.closedS = 0;
  course.unanchored = false;
  course.supplyKnown = false;
  course.belowSettingS = 0;
  cloud.columns.held.fill(0);
}

function close(cloud: Cloud, course: Course, dice: Dice): void {
  if (course.gas === 'closed') return;
  course.gasBefore = course.gas;
  course.gas = 'closed';
  course.closedS = 0;
  course.jumpPa = 0;
  drawHeld(cloud, NOT_CLOSED, CLOSED_LATER, dice);
  course.unanchored = !course.supplyKnown;
  if (course.supplyKnown) anchorAll(cloud, course, course.supplyPa);
}

/** Takes a measured pressure (Pa gauge) as the headspace's in all particles. */
export function anchorAll(cloud: Cloud, course: Course, gaugePa: number): void {
  const energy = GAS_CONSTANT * (course.beerC + 273.15);
  for (let index = 0; index < cloud.size; index += 1) {
    anchor(cloud, index, gaugePa + course.ambientPa, course.co2Ratio, energy);
  }
  course.unanchored = false;
  course.closedC = course.beerC;
}

function startCheck(shaken: boolean, cloud: Cloud, course: Course, dice: Dice): void {
  close(cloud, course, dice);
  course.shakenCheck = shaken;
  course.shakeOwed = shaken;
}

/** A check that is made to be shaken: if nobody enters the shaking itself, it is taken to follow in the next step. */
export function payShake(cloud: Cloud, course: Course, dice: Dice): void {
  course.shakeOwed = false;
  shake('firm', CHECK_SHAKE_S, cloud, course, dice);
}

function endCheck(cloud: Cloud, course: Course): void {
  if (course.gas !== 'closed') return;
  course.shakenCheck = false;
  const before = course.gasBefore;
  open(cloud, course);
  course.gas = before;
}

function shake(manner: 'shaken' | 'firm' | 'carried', seconds: number, cloud: Cloud, course: Course, dice: Dice): void {
  if (manner !== 'carried') course.shakeOwed = false;
  drawShake(cloud, manner, dice);
  course.shakeLeftS = Math.max(course.shakeLeftS, bounded(seconds, 0, LONGEST_SHAKE_S));
  course.restS = 0;
}

function purge(times: number, kpaGauge: number | null, cloud: Cloud, course: Course, dice: Dice): void {
  const turns = bounded(times, 0, 50);
  const { air } = cloud.columns;
  // Each turn leaves the share of the outer air's pressure in the highest; without a pressure: purged to 2 bar.
  const high = kpaGauge === null || !(kpaGauge > 5) ? 200 : bounded(kpaGauge, 5, 900);
  const left = course.ambientPa / (course.ambientPa + 1000 * high) / (101_325 / 301_325);
  for (let index = 0; index < cloud.size; index += 1) {
    if (!course.purged)
      air[index] = drawAir(turns, course.ambientPa, dice) * Math.min(1 / 0.36, left) ** Math.min(turns, 20);
    else if (turns > 0)
      air[index] = Math.min(at(air, index), 101_325) * (0.36 * left) ** turns * Math.exp(0.2 * dice.normal());
    air[index] = Math.min(at(air, index), course.ambientPa);
  }
  course.purged = true;
  course.unanchored = true;
}

function drawBeer(litres: number, cloud: Cloud, course: Course): void {
  const m3 = bounded(litres, 0, 1000) / 1000;
  if (m3 <= 0) return;
  ownLasting(cloud);
  const { space, air, inert } = cloud.columns;
  for (let index = 0; index < cloud.size; index += 1) {
    const before = at(space, index);
    const after = Math.min(0.985 * course.totalM3, before + m3);
    if (after <= before) continue;
    space[index] = after;
    air[index] = (at(air, index) * before) / after;
    inert[index] = (at(inert, index) * before) / after;
  }
  course.drawnL += m3 * 1000;
  course.unanchored = true;
  deriveAll(cloud, course.totalM3);
}

const BEER_KG_PER_L = 1.01;

/** The first weighing is what later ones are compared with. */
function weigh(kg: number, plusMinusKg: number, cloud: Cloud, course: Course): void {
  if (!Number.isFinite(kg) || kg <= 0 || kg > 2000) return;
  const own = bounded(plusMinusKg, 0.001, 10);
  const now = new Float64Array(cloud.size);
  for (let index = 0; index < cloud.size; index += 1) {
    now[index] = gasKg(cloud, index, course.gas === 'closed', course.gaugePa + course.ambientPa, course.beerC);
  }
  const first = course.weighing;
  if (first === null) {
    ownLasting(cloud);
    cloud.columns.weighed.set(now);
    course.weighing = { kg, plusMinusKg: own, drawnL: course.drawnL };
    return;
  }
  const drawnKg = (course.drawnL - first.drawnL) * BEER_KG_PER_L;
  // How much was poured is known to a tenth.
  const spread = Math.hypot(own, first.plusMinusKg, 0.1 * drawnKg, 0.0005);
  judgeGain(cloud, now, kg - first.kg + drawnKg, spread);
  course.observed = true;
}
