import { z } from 'zod';
import { Rule, RuleChange, RuleList, RuleTrial } from '../../contract/index.ts';
import { granted } from '../problems.ts';
import { PROBLEM_ANSWERS, type Routes } from './route.ts';

const Params = z.object({ rule: z.string().min(1).max(60) });

/** The rules of alerts: their settings, and what they would have told of the past. */
export const ruleRoutes: Routes = (api, { rules }) => {
  api.get('/rules', { schema: { response: { 200: RuleList, ...PROBLEM_ANSWERS } } }, () => ({ rules: rules.list() }));
  api.put(
    '/rules/:rule',
    { schema: { params: Params, body: RuleChange, response: { 200: Rule, ...PROBLEM_ANSWERS } } },
    (request) => granted(rules.put(request.params.rule, request.body)),
  );
  api.post(
    '/rules/:rule/try',
    { schema: { params: Params, body: RuleChange, response: { 200: RuleTrial, ...PROBLEM_ANSWERS } } },
    async (request) => granted(await rules.try(request.params.rule, request.body)),
  );
};
