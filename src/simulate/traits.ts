import type { Random } from './random.ts';

/**
 * What differs from keg to keg and nobody knows. The spreads are broad on purpose. No keg was measured: the medians are
 * laid so that a full keg left alone at serving pressure takes one to two weeks (common practice, no source).
 */
export interface KegTraits {
  /** CO2 solubility of the beer over that of water. */
  readonly beerFactor: number;
  /** Factor of the cube-root law of transfer through a surface under which dense liquid sinks. */
  readonly sherwood: number;
  /** Velocity allowed by the film of proteins on the surface (m/s). */
  readonly filmMPerS: number;
  /** Speed of giving off through the still surface over that of taking up. */
  readonly desorptionRatio: number;
  /** Velocity of overturning below the surface layer at a density difference of 1e-4 (m/s). */
  readonly overturnMPerS: number;
  /** How much faster the depth mixes than the surface layer. */
  readonly depthMixRatio: number;
  /** Velocity of mixing by heat flowing through the wall, per (W/m2)^(1/3) (m/s). */
  readonly heatMixMPerS: number;
  /** Difference of relative density that halves mixing by heat where dense beer lies under light. */
  readonly stableHalf: number;
  /** Mixing that nothing stills: the compressor's shaking, doors, steps (m/s). */
  readonly restlessMPerS: number;
  /** Share of what is taken up that sinks in plumes to its own level. */
  readonly plumeShare: number;
  readonly topDepthM: number;
  /** Surface transfer under firm shaking over that of a still keg. */
  readonly shakeGain: number;
  /** Uptake from a diffusion stone's bubbles (1/s). */
  readonly stonePerS: number;
  /** Growth of bubbles in supersaturated beer (1/s). */
  readonly bubblePerS: number;
  /** Relative supersaturation that still beer bears before bubbles form. */
  readonly bubbleThreshold: number;
  /** Suction at which the lid, which only pressure presses tight, lets air in (kPa). */
  readonly lidGivesKpa: number;
  /** Heat passed between the fridge's air and the keg's wall (W/K per m2 of wall). */
  readonly airSideWPerM2K: number;
  /** Air at this keg against the fridge's mean (K). */
  readonly airOffsetK: number;
}

export function drawKegTraits(random: Random): KegTraits {
  return {
    beerFactor: random.uniform(0.93, 0.98),
    sherwood: random.logNormal(0.19, 0.35),
    filmMPerS: random.logNormal(9e-6, 0.4),
    desorptionRatio: random.logUniform(0.5, 2.5),
    overturnMPerS: random.logNormal(1.1e-5, 0.5),
    depthMixRatio: random.logUniform(2, 8),
    heatMixMPerS: random.logNormal(9e-7, 0.5),
    stableHalf: random.logNormal(1e-4, 0.8),
    restlessMPerS: random.logNormal(1.2e-6, 0.6),
    plumeShare: random.uniform(0, 0.5),
    topDepthM: random.logNormal(0.028, 0.3),
    shakeGain: random.logNormal(140, 0.5),
    stonePerS: random.logNormal(1 / 9000, 0.4),
    bubblePerS: random.logNormal(2e-5, 0.6),
    bubbleThreshold: random.uniform(0.15, 0.6),
    lidGivesKpa: random.uniform(1, 12),
    airSideWPerM2K: random.logNormal(7.5, 0.25),
    airOffsetK: random.normal(0, 0.25),
  };
}

/** A regulator and the line behind it. */
export interface SupplyTraits {
  /** Rise above the flowing set-point when the flow stops (kPa). */
  readonly lockUpKpa: number;
  /** Fall per flow (kPa per mmol/s). */
  readonly droopKpaPerMmolS: number;
  /** How far the outlet falls before the seat opens again (kPa). */
  readonly stickKpa: number;
  /** Rise of the outlet as the inlet falls (kPa per MPa). */
  readonly inletEffectKpaPerMpa: number;
  readonly maxMolPerS: number;
  readonly lineL: number;
  /** Pressure that opens a check valve (kPa). */
  readonly checkCrackKpa: number;
}

export function drawSupplyTraits(random: Random): SupplyTraits {
  return {
    lockUpKpa: random.uniform(0.5, 3),
    droopKpaPerMmolS: random.uniform(0.2, 0.8),
    stickKpa: random.uniform(0.2, 1),
    inletEffectKpaPerMpa: random.uniform(0.2, 1),
    maxMolPerS: random.uniform(0.02, 0.06),
    lineL: random.uniform(0.05, 0.25),
    checkCrackKpa: random.uniform(0.5, 2.5),
  };
}

export interface FridgeTraits {
  /** Width of the thermostat's band (K). */
  readonly hysteresisK: number;
  readonly coolingW: number;
  /** Heat through the fridge's walls (W/K). */
  readonly wallWPerK: number;
  readonly airJPerK: number;
  /** Time after which a compressor may start again (s). */
  readonly restS: number;
  /** How long the evaporator takes to get cold or warm (s). */
  readonly evaporatorLagS: number;
}

export function drawFridgeTraits(random: Random): FridgeTraits {
  return {
    hysteresisK: random.uniform(1.2, 3),
    coolingW: random.uniform(110, 170),
    wallWPerK: random.uniform(1.1, 2),
    airJPerK: random.uniform(18_000, 35_000),
    restS: random.uniform(180, 360),
    evaporatorLagS: random.uniform(60, 200),
  };
}
