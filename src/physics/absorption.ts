/**
 * How fast beer in a keg takes up or gives off CO2 through its surface.
 *
 * CO2-laden beer is heavier and sinks, so a still keg takes up gas far faster than diffusion alone would let it (years).
 * The still law borrows the turbulent natural convection of heat: a model, good to a factor of 2 in time.
 */
import { beerDensity, beerDiffusivity, beerViscosityMpaS } from './beer.ts';
import { CO2_G_PER_MOL, G_PER_L_PER_VOLUME } from './co2.ts';
import { within } from './range.ts';
import {
  type Celsius,
  celsius,
  type Metres,
  type MetresPerSecond,
  metresPerSecond,
  type Seconds,
  seconds,
  type Volumes,
  volumes,
} from './units.ts';

/** Standard gravity (m/s²). @source CGPM 1901, exact */
const GRAVITY = 9.80665;
/** Apparent molar volume of CO2 dissolved in water (cm³/mol). @source from memory: about 33 */
const DISSOLVED_CM3_PER_MOL = 33;
/**
 * Sh = constant · Ra^(1/3). 0.15 gives 90 % in about 8 days, which agrees with the home rule of one to two weeks.
 * @source turbulent free convection at a horizontal plate (0.1 to 0.2), from memory; the rule is common practice, no source
 */
export const SHERWOOD_CONSTANT = 0.15;
/**
 * How many times faster than a still keg. Shaking takes minutes to an hour, a stone or high pressure about a day.
 * @source common practice, no source; sizes are assumptions of this model
 */
export const AGITATION_FACTOR = { still: 1, stone: 17, shaken: 60 } as const;
export type Agitation = keyof typeof AGITATION_FACTOR;
/**
 * Giving off is faster than taking up, and faster still where bubbles form.
 * @source bubbles need gas pockets and some supersaturation (Liger-Belair 2006; Lee 2011); sizes are assumptions
 */
const OUTGASSING_FACTOR = 1.8;

export interface BeerFluid {
  /** kg/m³ */
  readonly density: number;
  /** mPa·s */
  readonly viscosityMpaS: number;
  /** m²/s */
  readonly diffusivity: number;
}

/**
 * Density, viscosity and CO2 diffusivity of a lager at a temperature (−3 to 40 °C).
 * @source as `beerDensity`, `beerViscosityMpaS`, `beerDiffusivity`
 */
export function beerFluid(temperature: Celsius): BeerFluid {
  within('beer temperature', temperature, 'Cel', -3, 40);
  return {
    density: beerDensity(temperature),
    viscosityMpaS: beerViscosityMpaS(temperature),
    diffusivity: beerDiffusivity(temperature),
  };
}

/**
 * Rayleigh number of beer whose surface holds more CO2 than its bulk: what drives the sinking plumes.
 * Range: 0 to 10 volumes of difference, 0.01 to 5 m of depth.
 * @source Farajzadeh, Zitha, Bruining 2009 for the mechanism; Ra = g Δρ L³/(μ D), Δρ from the molar volume of CO2
 */
export function rayleighNumber(difference: Volumes, depth: Metres, fluid: BeerFluid): number {
  within('difference in carbonation', difference, 'volumes', 0, 10);
  within('depth', depth, 'm', 0.01, 5);
  const co2KgPerM3 = difference * G_PER_L_PER_VOLUME;
  // A kilogram of CO2 adds its mass and takes the room of its molar volume.
  const heavierBy = co2KgPerM3 * (1 - (fluid.density * DISSOLVED_CM3_PER_MOL) / (CO2_G_PER_MOL * 1000));
  return (GRAVITY * heavierBy * depth ** 3) / ((fluid.viscosityMpaS / 1000) * fluid.diffusivity);
}

/**
 * Transfer velocity of CO2 into still beer (m/s), by natural convection from the surface.
 * @source Sh = 0.15 Ra^(1/3), analogy to heat; see `SHERWOOD_CONSTANT`
 */
export function stillTransferVelocity(
  difference: Volumes,
  depth: Metres,
  fluid: BeerFluid,
  sherwoodConstant = SHERWOOD_CONSTANT,
): MetresPerSecond {
  within('Sherwood constant', sherwoodConstant, '', 0.01, 1);
  const sherwood = sherwoodConstant * Math.cbrt(rayleighNumber(difference, depth, fluid));
  return metresPerSecond((sherwood * fluid.diffusivity) / depth);
}

/**
 * How the still transfer velocity changes with temperature (ratio to 4 °C; −3 to 40 °C): about 3 % per °C.
 * @source `stillTransferVelocity` is proportional to D^(2/3) μ^(−1/3)
 */
export function transferTemperatureFactor(temperature: Celsius): number {
  const here = beerFluid(temperature);
  const cold = beerFluid(celsius(4));
  return Math.cbrt((here.diffusivity / cold.diffusivity) ** 2 * (cold.viscosityMpaS / here.viscosityMpaS));
}

/**
 * Carbonation of still beer after a time at constant temperature and pressure (volumes; `start` at most `equilibrium`).
 * The velocity falls with the cube root of the difference Δ: Δ(t) = Δ0 (1 + k0 t/(3 L))^(−3), so steps may be split.
 * @source dΔ/dt = −k(Δ) Δ/L with `stillTransferVelocity`, integrated
 */
export function stillAbsorption(
  start: Volumes,
  equilibrium: Volumes,
  depth: Metres,
  elapsed: Seconds,
  fluid: BeerFluid,
  sherwoodConstant = SHERWOOD_CONSTANT,
): Volumes {
  within('equilibrium carbonation', equilibrium, 'volumes', 0, 10);
  within('carbonation at the start', start, 'volumes', 0, equilibrium);
  within('elapsed time', elapsed, 's', 0, 1e10);
  const gap = volumes(equilibrium - start);
  const k0 = stillTransferVelocity(gap, depth, fluid, sherwoodConstant);
  return volumes(equilibrium - gap * (1 + (k0 * elapsed) / (3 * depth)) ** -3);
}

/**
 * Time until a share of the way to equilibrium is gone (s; share 0 to 0.9999). Inverse of `stillAbsorption`.
 * @source as `stillAbsorption`, solved for t
 */
export function stillAbsorptionTime(
  start: Volumes,
  equilibrium: Volumes,
  depth: Metres,
  share: number,
  fluid: BeerFluid,
  sherwoodConstant = SHERWOOD_CONSTANT,
): Seconds {
  within('share of the way', share, '', 0, 0.9999);
  within('carbonation at the start', start, 'volumes', 0, equilibrium - 1e-6);
  const k0 = stillTransferVelocity(volumes(equilibrium - start), depth, fluid, sherwoodConstant);
  return seconds(((3 * depth) / k0) * (Math.cbrt(1 / (1 - share)) - 1));
}

/**
 * Carbonation after a time at a constant transfer velocity (volumes): stirred, shaken or with a stone, where the flow
 * comes from outside. First order: Δ(t) = Δ0 exp(−k t/L), L = beer volume over surface.
 * @source film theory of gas absorption, well-mixed bulk
 */
export function stirredAbsorption(
  start: Volumes,
  equilibrium: Volumes,
  depth: Metres,
  elapsed: Seconds,
  velocity: MetresPerSecond,
): Volumes {
  within('equilibrium carbonation', equilibrium, 'volumes', 0, 10);
  within('carbonation at the start', start, 'volumes', 0, 10);
  within('depth', depth, 'm', 0.01, 5);
  within('elapsed time', elapsed, 's', 0, 1e10);
  within('transfer velocity', velocity, 'm/s', 0, 1);
  return volumes(equilibrium + (start - equilibrium) * Math.exp((-velocity * elapsed) / depth));
}

/**
 * Transfer velocity of an agitated keg (m/s): a multiple of the still one at one volume of difference.
 * @source as `AGITATION_FACTOR`: common practice, no source
 */
export function agitatedTransferVelocity(
  agitation: Agitation,
  difference: Volumes,
  depth: Metres,
  fluid: BeerFluid,
): MetresPerSecond {
  return metresPerSecond(AGITATION_FACTOR[agitation] * stillTransferVelocity(difference, depth, fluid));
}

/**
 * How many times faster than it takes up gas a beer gives it off at a supersaturation (0 to 10 volumes): 1.8 up to a
 * quarter of a volume, rising with bubbles to seven times that at 1.75 volumes and more.
 * @source as `OUTGASSING_FACTOR`: mechanism published, sizes assumed
 */
export function outgassingFactor(supersaturation: Volumes): number {
  within('supersaturation', supersaturation, 'volumes', 0, 10);
  return OUTGASSING_FACTOR * (1 + Math.min(6, 4 * Math.max(0, supersaturation - 0.25)));
}

/**
 * Carbonation of supersaturated beer after a time (volumes; `start` at least `equilibrium`), at a still transfer
 * velocity times `outgassingFactor`. Integrated piece by piece, so steps may be split:
 * dΔ/dθ = −7Δ above 1.75, −4Δ² between, −Δ below 0.25, θ = 1.8 k t/L.
 * @source as `outgassingFactor`
 */
export function outgassing(
  start: Volumes,
  equilibrium: Volumes,
  depth: Metres,
  elapsed: Seconds,
  velocity: MetresPerSecond,
): Volumes {
  within('carbonation at the start', start, 'volumes', 0, 10);
  within('equilibrium carbonation', equilibrium, 'volumes', 0, start);
  within('depth', depth, 'm', 0.01, 5);
  within('elapsed time', elapsed, 's', 0, 1e10);
  within('transfer velocity', velocity, 'm/s', 0, 1);
  let gap = start - equilibrium;
  let left = (OUTGASSING_FACTOR * velocity * elapsed) / depth;
  if (gap > 1.75) {
    const spent = Math.min(left, Math.log(gap / 1.75) / 7);
    gap *= Math.exp(-7 * spent);
    left -= spent;
  }
  if (left > 0 && gap > 0.25) {
    const spent = Math.min(left, (1 / 0.25 - 1 / gap) / 4);
    gap = 1 / (1 / gap + 4 * spent);
    left -= spent;
  }
  return volumes(equilibrium + gap * Math.exp(-left));
}
