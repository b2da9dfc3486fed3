import { cholesky, logDeterminant, solved } from './small-matrix.ts';

/**
 * What gave clean fills on this installation. The share of bottles that foamed follows, on the logistic scale, temperature,
 * carbonation and rest in proportion, and the serving pressure by its square distance from the one that suits this line. That
 * pressure and how much it matters lie on a grid; all else is worked out for each of its points (Gelman et al., Bayesian Data
 * Analysis, 3rd ed., 2013, section 4.1, normal approximation), so that the same fills always give the same answer.
 */

/** A fill as far as it can teach something. Null: not known. */
export interface FillLesson {
  readonly bottles: number;
  /** Of these: foamed, gushed or spilled. */
  readonly foamy: number;
  readonly beerC: number;
  readonly kpaGauge: number;
  readonly volumes: number | null;
  readonly restHours: number | null;
}

export const FACTORS = ['temperature', 'carbonation', 'rest'] as const;
export type Factor = (typeof FACTORS)[number];

export interface CleanLearning {
  readonly fills: number;
  readonly bottles: number;
  /** True while this says little more than what is usual. */
  readonly fewData: boolean;
  /** The serving pressure that suits (kPa gauge): 5 %, 50 % and 95 % of the belief. */
  readonly pressure: { readonly kpaGauge: number; readonly low: number; readonly high: number };
  /** How sure it is that more of it means more foam (0 to 1): warmer, livelier, longer at rest. */
  readonly moreFoams: Readonly<Record<Factor, number>>;
}

/** Bottles of a fill are alike: their foaming is correlated by about this much. Our assumption; bottles count for less by it. */
const ALIKE = 0.1;
/** A usual serving pressure (kPa gauge, 10 psi), and how far users may be from it. Common practice, no source. */
const USUAL_KPA = 69;
const USUAL_KPA_SD = 15;
const GRID_KPA = 4;
const PRESSURES_KPA = Array.from({ length: 26 }, (_, index) => 30 + index * GRID_KPA);
/** How much the square of 10 kPa matters: a grid around its usual value. Our assumption, wide. */
const CURVATURES = [0.06, 0.12, 0.25, 0.5, 1, 2] as const;
const CURVATURE_USUAL_LN = Math.log(0.35);
const CURVATURE_SD_LN = 0.9;
/** Where factors are counted from, and what counts as one step of each. */
const CENTRE = { beerC: 2, volumes: 2.3, restHours: 24 } as const;
const STEP = { volumes: 0.2, restHours: 24 } as const;
const REST_HOURS_MAX = 48;
/**
 * Belief before the first fill, on the logistic scale: one bottle in five foams; a degree, 0.2 volumes more and a day less at
 * rest make it a little worse, but nobody is sure. Our assumption, wide.
 */
const PRIOR = [
  { mean: -1.4, sd: 1.5 },
  { mean: 0.3, sd: 0.5 },
  { mean: 0.3, sd: 0.5 },
  { mean: -0.2, sd: 0.5 },
] as const;
const FEW_FILLS = 5;
const FEW_BOTTLES = 40;
/** A range that is not this much narrower than before the first fill has learnt nothing. */
const NARROWER = 0.8;
const NINE_IN_TEN = 1.645;
const NEWTON_STEPS = 12;

interface Row {
  readonly weight: number;
  readonly share: number;
  readonly kpaGauge: number;
  readonly x: readonly number[];
}

/** Learns from fills over one and the same line. */
export function learnCleanFills(lessons: readonly FillLesson[]): CleanLearning {
  const rows = lessons.filter(({ bottles }) => bottles > 0).map(rowOf);
  const bottles = lessons.reduce((sum, lesson) => sum + lesson.bottles, 0);
  const points = PRESSURES_KPA.flatMap((kpa) =>
    CURVATURES.map((curvature) => {
      const fitted = likeliest(rows, kpa, curvature);
      return { kpa, fitted, logWeight: fitted.logEvidence + logPrior(kpa, curvature) };
    }),
  );
  const most = Math.max(...points.map(({ logWeight }) => logWeight));
  const weighted = points.map(({ kpa, fitted, logWeight }) => ({ kpa, fitted, weight: Math.exp(logWeight - most) }));
  const total = weighted.reduce((sum, { weight }) => sum + weight, 0);
  const belief = PRESSURES_KPA.map((kpa) => {
    const here = weighted.filter((point) => point.kpa === kpa);
    return here.reduce((sum, { weight }) => sum + weight, 0) / total;
  });
  const [low, kpaGauge, high] = [0.05, 0.5, 0.95].map((share) => quantile(belief, share)) as [number, number, number];
  const isWide = high - low > NARROWER * 2 * NINE_IN_TEN * USUAL_KPA_SD;
  const moreFoams = (index: number): number =>
    weighted.reduce((sum, { fitted, weight }) => {
      const { mean, sd } = fitted.coefficients[index] as { mean: number; sd: number };
      return sum + (weight / total) * normalCdf(mean / sd);
    }, 0);
  return {
    fills: rows.length,
    bottles,
    fewData: rows.length < FEW_FILLS || bottles < FEW_BOTTLES || isWide,
    pressure: { kpaGauge, low, high },
    moreFoams: { temperature: moreFoams(1), carbonation: moreFoams(2), rest: moreFoams(3) },
  };
}

/** What is not known is taken as usual, where it says nothing. */
function rowOf({ bottles, foamy, beerC, kpaGauge, volumes, restHours }: FillLesson): Row {
  const rest = Math.min(restHours ?? CENTRE.restHours, REST_HOURS_MAX);
  return {
    weight: bottles / (1 + (bottles - 1) * ALIKE),
    share: foamy / bottles,
    kpaGauge,
    x: [
      1,
      beerC - CENTRE.beerC,
      ((volumes ?? CENTRE.volumes) - CENTRE.volumes) / STEP.volumes,
      (rest - CENTRE.restHours) / STEP.restHours,
    ],
  };
}

function logPrior(kpa: number, curvature: number): number {
  const z = (kpa - USUAL_KPA) / USUAL_KPA_SD;
  const g = (Math.log(curvature) - CURVATURE_USUAL_LN) / CURVATURE_SD_LN;
  return -0.5 * (z * z + g * g);
}

const logistic = (value: number): number => 1 / (1 + Math.exp(-value));

interface Fitted {
  readonly coefficients: readonly { readonly mean: number; readonly sd: number }[];
  readonly logEvidence: number;
}

/** The other unknowns, given the pressure that suits and how much it matters: Newton's steps to the likeliest, then its normal. */
function likeliest(rows: readonly Row[], kpa: number, curvature: number): Fitted {
  const offsets = rows.map((row) => curvature * ((row.kpaGauge - kpa) / 10) ** 2);
  const theta: number[] = PRIOR.map(({ mean }) => mean);
  const linear = (row: Row, index: number): number =>
    row.x.reduce((sum, value, at) => sum + value * (theta[at] as number), offsets[index] as number);
  let lower: number[][] = [];
  for (let step = 0; step < NEWTON_STEPS; step += 1) {
    const gradient = PRIOR.map(({ mean, sd }, at) => (mean - (theta[at] as number)) / sd ** 2);
    const hessian = PRIOR.map(({ sd }, row) => PRIOR.map((_, column) => (row === column ? 1 / sd ** 2 : 0)));
    for (const [index, row] of rows.entries()) {
      const share = logistic(linear(row, index));
      for (const [at, value] of row.x.entries()) {
        gradient[at] = (gradient[at] as number) + row.weight * (row.share - share) * value;
        const line = hessian[at] as number[];
        for (const [other, factor] of row.x.entries())
          line[other] = (line[other] as number) + row.weight * share * (1 - share) * value * factor;
      }
    }
    lower = cholesky(hessian);
    const move = solved(lower, gradient);
    // A long first step can overshoot; a step of at most two keeps it in.
    const longest = Math.max(...move.map(Math.abs));
    const scale = longest > 2 ? 2 / longest : 1;
    for (const [at, by] of move.entries()) theta[at] = (theta[at] as number) + scale * by;
    if (longest < 1e-4) break;
  }
  const logLikelihood = rows.reduce((sum, row, index) => {
    const value = linear(row, index);
    return sum - row.weight * (Math.log1p(Math.exp(-Math.abs(value))) + Math.max(value, 0) - row.share * value);
  }, 0);
  const logPriorHere = PRIOR.reduce(
    (sum, { mean, sd }, at) => sum - 0.5 * (((theta[at] as number) - mean) / sd) ** 2,
    0,
  );
  const coefficients = PRIOR.map((_, at) => {
    const unit = PRIOR.map((_one, other) => (other === at ? 1 : 0));
    return { mean: theta[at] as number, sd: Math.sqrt(solved(lower, unit)[at] as number) };
  });
  return { coefficients, logEvidence: logLikelihood + logPriorHere - 0.5 * logDeterminant(lower) };
}

/** Where a share of the belief lies below, between the points of the grid. */
function quantile(belief: readonly number[], share: number): number {
  let below = 0;
  let at = 0;
  while (at < belief.length - 1 && below + (belief[at] as number) < share) {
    below += belief[at] as number;
    at += 1;
  }
  const part = (share - below) / Math.max(belief[at] as number, 1e-12);
  return (PRESSURES_KPA[at] as number) + (Math.min(1, part) - 0.5) * GRID_KPA;
}

/** Share of a normal distribution below z. @source Abramowitz and Stegun 26.2.17, within 7.5e-8 */
export function normalCdf(z: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const tail =
    (Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI)) *
    t *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return z >= 0 ? 1 - tail : tail;
}

/** Points at which a share is looked at. */
const SHARE_POINTS = 500;

/**
 * A share of bottles with its 90 % range: Beta(1, 4) before the first, bottles of one fill counted as alike. Few bottles give a
 * wide range. @source Beta-binomial conjugacy, Gelman et al. 2013, section 2.4
 */
export function shareRange(fills: readonly Pick<FillLesson, 'bottles' | 'foamy'>[]) {
  let [foamy, clean] = [0, 0];
  for (const { bottles, foamy: count } of fills) {
    if (bottles === 0) continue;
    const worth = 1 / (1 + (bottles - 1) * ALIKE);
    foamy += count * worth;
    clean += (bottles - count) * worth;
  }
  const at = (index: number): number => (index + 0.5) / SHARE_POINTS;
  const log = Array.from({ length: SHARE_POINTS }, (_, index) => {
    return foamy * Math.log(at(index)) + (clean + 3) * Math.log1p(-at(index));
  });
  const most = Math.max(...log);
  const weights = log.map((value) => Math.exp(value - most));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const of = (share: number): number => {
    let below = 0;
    const index = weights.findIndex((weight) => {
      below += weight / total;
      return below >= share;
    });
    return at(index);
  };
  return { share: of(0.5), low: of(0.05), high: of(0.95) };
}
