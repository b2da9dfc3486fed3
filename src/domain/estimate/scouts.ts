/** A few of the kegs that this one could be, led along whatever way somebody wants to try: each branch goes on by itself. */
import { courseUnder, runScouts, scoutsByPace } from './ahead.ts';
import { type Cloud, contentOf, copyCloud } from './cloud.ts';
import type { Course } from './course.ts';

export interface ScoutRun {
  /** The same kegs at the same moment, to try another way. */
  fork(): ScoutRun;
  /** Lets hours pass at rest, at a temperature and under a pressure (kPa gauge). */
  pass(hours: number, beerC: number, kpaGauge: number): void;
  /** What each of them holds (chart volumes); the order is the same in every branch. */
  contents(): Float64Array;
}

/** Conditions that changed are followed in short leaps at first (h); what goes on unchanged needs few. */
const FIRST_LEAP_H = 0.5;
const LONGEST_LEAP_H = 12;
const GROWTH = 1.4;

/** `count` kegs of equal weight, from now on. */
export function scoutRun(
  cloud: Cloud,
  weights: Float64Array,
  course: Course,
  count: number,
  ambientKpaAbsolute: number,
): ScoutRun {
  const { beerC, gaugePa } = course;
  const under = courseUnder(course, { beerC, kpaGauge: gaugePa / 1000, ambientKpaAbsolute });
  return new Run(scoutsByPace(cloud, weights, under, count), course, ambientKpaAbsolute, FIRST_LEAP_H, Number.NaN);
}

class Run implements ScoutRun {
  readonly #kegs: Cloud;
  readonly #course: Course;
  readonly #ambientKpa: number;
  #leapH: number;
  #kpaGauge: number;

  constructor(kegs: Cloud, course: Course, ambientKpa: number, leapH: number, kpaGauge: number) {
    this.#kegs = kegs;
    this.#course = course;
    this.#ambientKpa = ambientKpa;
    this.#leapH = leapH;
    this.#kpaGauge = kpaGauge;
  }

  fork(): ScoutRun {
    return new Run(copyCloud(this.#kegs), this.#course, this.#ambientKpa, this.#leapH, this.#kpaGauge);
  }

  pass(hours: number, beerC: number, kpaGauge: number): void {
    if (kpaGauge !== this.#kpaGauge) this.#leapH = FIRST_LEAP_H;
    this.#kpaGauge = kpaGauge;
    const under = courseUnder(this.#course, { beerC, kpaGauge, ambientKpaAbsolute: this.#ambientKpa });
    for (let left = hours; left > 1e-9; ) {
      const leap = Math.min(left, this.#leapH);
      runScouts(this.#kegs, under, leap);
      left -= leap;
      this.#leapH = Math.min(LONGEST_LEAP_H, GROWTH * this.#leapH);
    }
  }

  contents(): Float64Array {
    return Float64Array.from({ length: this.#kegs.size }, (_, index) => contentOf(this.#kegs, index));
  }
}
