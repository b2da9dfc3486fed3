import { createCoolingEstimate } from '../domain/estimate/cooling.ts';
import { Estimator } from '../domain/estimate/estimator.ts';
import type { EstimateModel } from '../domain/keg-track-types.ts';

/** The estimate of dissolved CO2 and of cooling that the program runs. */
export const estimateModel: EstimateModel = {
  begin: (filling, ambient, options) => Estimator.begin(filling, ambient, options),
  resume: (snapshot) => Estimator.resume(snapshot),
  watchCooling: createCoolingEstimate,
};
