import { WhatIfAnswer, WhatIfRequest } from '../../contract/index.ts';
import { granted } from '../problems.ts';
import { PROBLEM_ANSWERS, type Routes } from './route.ts';

/** A keg left at a temperature and a pressure for some hours. */
export const whatIfRoutes: Routes = (api, { whatIf }) => {
  api.post(
    '/what-if',
    { schema: { body: WhatIfRequest, response: { 200: WhatIfAnswer, ...PROBLEM_ANSWERS } } },
    (request) => granted(whatIf.ask(request.body)),
  );
};
