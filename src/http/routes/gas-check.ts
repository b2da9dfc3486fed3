import { z } from 'zod';
import { PastUnreadableError } from '../../app/past-pressure.ts';
import { GasCheckReport, KegId } from '../../contract/index.ts';
import { granted, HttpProblem } from '../problems.ts';
import { PROBLEM_ANSWERS, type Routes } from './route.ts';

const Params = z.object({ kegId: KegId });

/** What closing the gas tells, has told and would tell. */
export const gasCheckRoutes: Routes = (api, { gasChecks }) => {
  api.get(
    '/kegs/:kegId/gas-check',
    { schema: { params: Params, response: { 200: GasCheckReport, ...PROBLEM_ANSWERS } } },
    async (request) => granted(await gasChecks.report(request.params.kegId).catch(storeTrouble)),
  );
};

function storeTrouble(error: Error): never {
  if (!(error instanceof PastUnreadableError)) throw error;
  throw new HttpProblem('store-unavailable', `Past readings cannot be read now: ${error.message}`);
}
