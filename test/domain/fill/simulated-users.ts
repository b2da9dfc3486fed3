/**
 * People who fill bottles, by a law of foaming that is not the one the learning believes: it rises faster below the pressure that
 * suits than above it, not by the square, and every fill has its own luck.
 */
export interface User {
  /** The pressure at which this line foams least (kPa gauge). */
  readonly bestKpa: number;
  readonly baseline: number;
  readonly perDegree: number;
  readonly perVolume: number;
  readonly perRestDay: number;
  readonly slopeBelow: number;
  readonly slopeAbove: number;
  /** Spread of the luck of a fill, logistic scale. */
  readonly luck: number;
}

/** Numbers between 0 and 1 from a seed. @source mulberry32, public domain, by T. Ettinger */
export function chanceOf(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

export const normal = (chance: () => number): number =>
  Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());

export function aUser(chance: () => number): User {
  const between = (low: number, high: number): number => low + (high - low) * chance();
  return {
    bestKpa: between(48, 92),
    baseline: between(-3.5, -1.5),
    perDegree: between(0.1, 0.9),
    perVolume: between(0, 4),
    perRestDay: between(-0.8, 0),
    slopeBelow: between(0.7, 1.3),
    slopeAbove: between(0.4, 1),
    luck: between(0.3, 0.8),
  };
}

export interface Filled {
  readonly bottles: number;
  readonly foamy: number;
  readonly beerC: number;
  readonly kpaGauge: number;
  readonly volumes: number;
  readonly restHours: number;
}

/** A fill at about the pressure that was aimed at. */
export function fillBottles(user: User, aimedKpa: number, chance: () => number): Filled {
  const kpaGauge = aimedKpa + 7 * normal(chance);
  const beerC = 1.5 + 1.2 * normal(chance);
  const volumes = 2.3 + 0.12 * normal(chance);
  const restHours = 6 + 40 * chance();
  const off = kpaGauge - user.bestKpa;
  const slope = off < 0 ? user.slopeBelow : user.slopeAbove;
  const logit =
    user.baseline +
    user.perDegree * (beerC - 2) +
    user.perVolume * (volumes - 2.3) +
    user.perRestDay * (restHours / 24 - 1) +
    slope * (Math.abs(off) / 10) ** 1.5 +
    user.luck * normal(chance);
  const bottles = 12 + Math.floor(13 * chance());
  let foamy = 0;
  for (let bottle = 0; bottle < bottles; bottle += 1) if (chance() < 1 / (1 + Math.exp(-logit))) foamy += 1;
  return { bottles, foamy, beerC, kpaGauge, volumes, restHours };
}
