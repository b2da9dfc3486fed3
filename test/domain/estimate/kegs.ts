import { type Cloud, deriveAll } from '../../../src/domain/estimate/cloud.ts';
import { createDice, seedWords } from '../../../src/domain/estimate/dice.ts';
import { Estimator } from '../../../src/domain/estimate/estimator.ts';
import type { Around } from '../../../src/domain/estimate/motion.ts';
import { drawCloud } from '../../../src/domain/estimate/priors.ts';
import type { EstimateStep, Filling, StepEvent } from '../../../src/domain/estimate/types.ts';

export const STEP_MS = 300_000;
export const HOUR_MS = 3_600_000;

export const aFilling = (changes: Partial<Filling> = {}): Filling => ({
  atMs: 0,
  totalL: 19.5,
  beerL: 18.5,
  diameterM: 0.215,
  beerC: 4,
  fermentedC: 18,
  beerState: 'flat',
  thermometer: 'thermowell',
  onGasSinceMs: null,
  ...changes,
});

/** The step that begins `index` steps after filling: beer at 4 °C under 70 kPa at sea level. */
export const aStep = (index: number, changes: Partial<EstimateStep> = {}): EstimateStep => ({
  fromMs: index * STEP_MS,
  toMs: (index + 1) * STEP_MS,
  beerC: 4,
  headspaceKpaGauge: 70,
  ambientKpaAbsolute: 101.325,
  ambientFromBarometer: false,
  co2Ratio: 1,
  events: [],
  ...changes,
});

export const SEA_LEVEL = { kpaAbsolute: 101.325, fromBarometer: false };

export const begin = (filling: Partial<Filling> = {}, particles = 200, seed = 1): Estimator =>
  Estimator.begin(aFilling(filling), SEA_LEVEL, { seed, particles });

export const onGas = (atMs = 0): StepEvent[] => [
  { kind: 'purged', atMs, times: 5, kpaGauge: 200 },
  { kind: 'gas-opened', atMs },
];

/** Walks from step `from` to step `until`; `change` says what differs in a step. */
export function walkOn(
  estimator: Estimator,
  from: number,
  until: number,
  change: (index: number) => Partial<EstimateStep> = () => ({}),
): Estimator {
  for (let index = from; index < until; index += 1) estimator.advance(aStep(index, change(index)));
  return estimator;
}

/** On gas from the beginning for so many steps. */
export const carbonating = (steps: number, particles = 200, seed = 1): Estimator =>
  walkOn(begin({}, particles, seed), 0, steps, (index) => (index === 0 ? { events: onGas() } : {}));

/** Particles drawn from the prior, without any error of the probes and without air or yeast. */
export function aCloud(size = 50): Cloud {
  const cloud = drawCloud(aFilling(), 101_325, false, size, createDice(seedWords(3)));
  for (const name of ['zero', 'eta', 'air', 'sugar', 'stir', 'inert'] as const) cloud.columns[name].fill(0);
  cloud.columns.lnShake.fill(4);
  deriveAll(cloud, 0.0195);
  return cloud;
}

/** 4 °C and 171.325 kPa absolute: the published form gives 2.34 volumes (see the test of the chart). */
export const anAround = (changes: Partial<Around> = {}): Around => ({
  dtS: 300,
  solubility: 1.37e-5,
  energy: 8.31446 * 277.15,
  pressure: 171_325,
  ambient: 101_325,
  co2Ratio: 1,
  quickness: 1,
  heatKPerHour: 0,
  yeastFactor: 0,
  spreadPa: 0,
  spreadShare: 0,
  breathing: false,
  stirred: 'still',
  ...changes,
});
