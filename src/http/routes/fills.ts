import { z } from 'zod';
import {
  Afterwards,
  BottleEntry,
  BottleId,
  Fill,
  FillChange,
  FilledBottle,
  FillList,
  FillStart,
  Id,
  KegId,
  TastingList,
} from '../../contract/index.ts';
import { granted } from '../problems.ts';
import { NO_CONTENT, PROBLEM_ANSWERS, type Routes } from './route.ts';

const FillParams = z.object({ fillId: Id });
const BottleParams = z.object({ fillId: Id, bottleId: BottleId });
const Filter = z.object({
  kegId: KegId.optional(),
  batchId: z.string().max(80).optional(),
  open: z.stringbool().optional().describe('true: those that go on; false: those that are over'),
});

const Conditioned = z.object({
  wishedVolumes: z.coerce.number().min(0.5).max(5).default(2.5).describe('For bottles that are to keep longer'),
  sugar: z.enum(['sucrose', 'dextrose', 'dextrose-monohydrate']).default('sucrose'),
});

/** Fills and their bottles. */
export const fillRoutes: Routes = (api, { fills, afterFills }) => {
  api.get(
    '/fills/:fillId/afterwards',
    {
      schema: {
        params: FillParams,
        querystring: Conditioned,
        response: { 200: Afterwards, ...PROBLEM_ANSWERS },
      },
    },
    (request) => granted(afterFills.of(request.params.fillId, request.query)),
  );
  api.get('/tastings', { schema: { response: { 200: TastingList, ...PROBLEM_ANSWERS } } }, () => ({
    tastings: afterFills.tastings(),
  }));
  api.get(
    '/fills',
    { schema: { querystring: Filter, response: { 200: FillList, ...PROBLEM_ANSWERS } } },
    (request) => ({ fills: fills.list(request.query) }),
  );
  api.post(
    '/fills',
    { schema: { body: FillStart, response: { 201: Fill, ...PROBLEM_ANSWERS } } },
    async (request, reply) => {
      void reply.code(201);
      return granted(await fills.start(request.body));
    },
  );
  api.get(
    '/fills/:fillId',
    { schema: { params: FillParams, response: { 200: Fill, ...PROBLEM_ANSWERS } } },
    async (request) => granted(await fills.fill(request.params.fillId)),
  );
  api.patch(
    '/fills/:fillId',
    { schema: { params: FillParams, body: FillChange, response: { 200: Fill, ...PROBLEM_ANSWERS } } },
    async (request) => granted(await fills.change(request.params.fillId, request.body)),
  );
  api.put(
    '/fills/:fillId/bottles/:bottleId',
    { schema: { params: BottleParams, body: BottleEntry, response: { 200: FilledBottle, ...PROBLEM_ANSWERS } } },
    async (request) => granted(await fills.putBottle(request.params.fillId, request.params.bottleId, request.body)),
  );
  api.delete(
    '/fills/:fillId/bottles/:bottleId',
    { schema: { params: BottleParams, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      granted(fills.removeBottle(request.params.fillId, request.params.bottleId));
      void reply.code(204);
      return null;
    },
  );
};
