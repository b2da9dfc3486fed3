/** Kegs that could be this one, taken for true, with the gas closed: what a check would show before it is made. */
import { scoutsOf } from './ahead.ts';
import { at, type Cloud } from './cloud.ts';
import type { Course } from './course.ts';
import { createDice, type Dice, seedWords } from './dice.ts';
import { anchor } from './judge.ts';
import { closedPressure, GAS_CONSTANT } from './motion.ts';
import { drawShake } from './priors.ts';
import { move } from './walk.ts';

export interface ClosedKegs {
  /** Lets time pass; gives the mean of what the probe of each one reads in it (kPa gauge). */
  after(seconds: number): Float64Array;
}

/** Noise of a step's mean pressure (Pa): a few readings of a usual probe. Common practice, no source. */
const NOISE_PA = 150;

/** Closes `count` of the kegs; one that is closed already stays so. Each is shaken first for `shakeS`. */
export function closedKegsOf(
  cloud: Cloud,
  weights: Float64Array,
  course: Course,
  { count, seed, shakeS }: { readonly count: number; readonly seed: number; readonly shakeS: number },
): ClosedKegs {
  const dice = createDice(seedWords(seed));
  // Any of them may leak, so all walk as leaking ones do; a tight one has a hole of no size.
  const kegs: Cloud = { ...scoutsOf(cloud, weights, count), tight: 0 };
  const wasClosed = course.gas === 'closed' && !course.unanchored;
  const energy = GAS_CONSTANT * (course.beerC + 273.15);
  const supplyPa = course.gas !== 'closed' && course.supplyKnown ? course.supplyPa : course.gaugePa;
  for (let index = 0; index < count; index += 1) {
    if (wasClosed && at(kegs.columns.held, index) === 0) continue;
    anchor(kegs, index, supplyPa + course.ambientPa, course.co2Ratio, energy);
  }
  kegs.columns.held.fill(0);
  if (shakeS > 0) drawShake(kegs, 'firm', dice);
  const under: Course = { ...course, gas: 'closed', unanchored: false, shakeLeftS: shakeS, stoneLeftS: 0 };
  let before = readings(kegs, under, energy);
  return {
    after(seconds) {
      move(kegs, under, seconds);
      const now = readings(kegs, under, energy);
      const means = now.map((pa, index) => noisyKpa((at(before, index) + pa) / 2, dice));
      before = now;
      return means;
    },
  };
}

function readings(kegs: Cloud, course: Course, energy: number): Float64Array {
  return kegs.columns.zero.map((zeroPa, index) => closedPressure(kegs, index, energy) - course.ambientPa + zeroPa);
}

function noisyKpa(pa: number, dice: Dice): number {
  return (pa + NOISE_PA * dice.normal()) / 1000;
}
