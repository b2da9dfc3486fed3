import { calculate } from '../../app/calculate.ts';
import { CalculateRequest, CalculateResult } from '../../contract/index.ts';
import { HttpProblem } from '../problems.ts';
import { PROBLEM_ANSWERS, type Routes } from './route.ts';

/** The same calculations as `quietkeg calculate`. */
export const calculateRoutes: Routes = (api) => {
  api.post(
    '/calculate',
    { schema: { body: CalculateRequest, response: { 200: CalculateResult, ...PROBLEM_ANSWERS } } },
    (request) => {
      const outcome = calculate(request.body);
      if (!outcome.ok) throw new HttpProblem('calculation-refused', outcome.reason);
      return outcome.result;
    },
  );
};
