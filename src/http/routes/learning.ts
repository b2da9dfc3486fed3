import { z } from 'zod';
import { CleanFills, KegId, KegLearnt, ReadyTimes } from '../../contract/index.ts';
import { granted } from '../problems.ts';
import { NO_CONTENT, PROBLEM_ANSWERS, type Routes } from './route.ts';

const Params = z.object({ kegId: KegId });

const BatchParams = z.object({ batchId: z.string().min(1).max(80) });

/** What a keg's past batches taught of it. */
export const learningRoutes: Routes = (api, { learning, readyTimes, cleanFills }) => {
  api.get('/clean-fills', { schema: { response: { 200: CleanFills, ...PROBLEM_ANSWERS } } }, () => cleanFills.learnt());
  api.get(
    '/batches/:batchId/ready-times',
    { schema: { params: BatchParams, response: { 200: ReadyTimes, ...PROBLEM_ANSWERS } } },
    (request) => granted(readyTimes.of(request.params.batchId)),
  );
  api.get(
    '/kegs/:kegId/learning',
    { schema: { params: Params, response: { 200: KegLearnt, ...PROBLEM_ANSWERS } } },
    (request) => granted(learning.of(request.params.kegId)),
  );
  api.delete(
    '/kegs/:kegId/learning',
    { schema: { params: Params, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      granted(learning.forget(request.params.kegId));
      void reply.code(204);
      return null;
    },
  );
};
