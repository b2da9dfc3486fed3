import { estimateModel } from '../../src/app/estimate-model.ts';
import { Estimator } from '../../src/domain/estimate/estimator.ts';
import type { EstimateModel } from '../../src/domain/keg-track-types.ts';

/** The program's estimate with fewer particles: what takes the program a day takes a test minutes. */
export const LIGHT_MODEL: EstimateModel = {
  ...estimateModel,
  begin: (filling, ambient, { seed }) => Estimator.begin(filling, ambient, { seed, particles: 300 }),
};
