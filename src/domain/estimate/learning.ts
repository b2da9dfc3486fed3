/** What one batch has taught of the keg itself, for its next: how fast it takes up gas, how it mixes, how fast it cools. */
import { at, type Cloud, type ColumnName, deriveAll, ownLasting } from './cloud.ts';
import type { Dice } from './dice.ts';

/** Mean and standard deviation of a belief. */
export interface Belief {
  readonly mean: number;
  readonly sd: number;
}

/** Beliefs of a keg's constants; plain numbers, to keep. */
export interface KegLearning {
  /** ln of the time constant in s of 18.5 L in a still keg. */
  readonly lnTau: Belief;
  /** Share of the surface in it (logit). */
  readonly logitSurface: Belief;
  /** Depth of the top layer (ln m). */
  readonly lnDepth: Belief;
  /** Share of what hinders mixing that lies far down (logit). */
  readonly logitDeep: Belief;
  /** ln of the time constant in h with which it follows its fridge; left out where no batch was seen cooling. */
  readonly cooling?: Belief;
}

/** What another beer in the same keg adds to what was learnt (ln, logit, ln, logit). No keg was measured for it. */
const WIDER: Readonly<Record<Exclude<keyof KegLearning, 'cooling'>, number>> = {
  lnTau: 0.2,
  logitSurface: 0.4,
  lnDepth: 0.2,
  logitDeep: 0.5,
};
/** Share of the particles that believe nothing of it: it may be another keg, or have been learnt wrongly. */
const DOUBTING = 0.2;

const NAMES = ['lnTau', 'logitSurface', 'lnDepth', 'logitDeep'] as const satisfies readonly ColumnName[];

/** Sums up the particles by their weights. */
export function learningOf(cloud: Cloud, weights: Float64Array): KegLearning {
  const belief = (name: ColumnName): Belief => {
    const cells = cloud.columns[name];
    let mean = 0;
    for (let index = 0; index < cloud.size; index += 1) mean += at(weights, index) * at(cells, index);
    let variance = 0;
    for (let index = 0; index < cloud.size; index += 1) {
      variance += at(weights, index) * (at(cells, index) - mean) ** 2;
    }
    return { mean, sd: Math.sqrt(variance) };
  };
  return {
    lnTau: belief('lnTau'),
    logitSurface: belief('logitSurface'),
    lnDepth: belief('lnDepth'),
    logitDeep: belief('logitDeep'),
  };
}

/** Draws the constants of most particles from what was learnt, widened. Passes over what is no number. */
export function drawLearnt(cloud: Cloud, learning: KegLearning, totalM3: number, dice: Dice): void {
  const sound = NAMES.every((name) => Number.isFinite(learning[name].mean) && learning[name].sd >= 0);
  if (!sound) return;
  ownLasting(cloud);
  for (let index = 0; index < cloud.size; index += 1) {
    if (dice.next() < DOUBTING) continue;
    for (const name of NAMES) {
      const { mean, sd } = learning[name];
      cloud.columns[name][index] = mean + Math.hypot(sd, WIDER[name]) * dice.normal();
    }
  }
  deriveAll(cloud, totalM3);
}
