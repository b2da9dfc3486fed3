import { z } from 'zod';
import { presentBatch, presentEvent } from '../../app/present.ts';
import {
  Batch,
  BatchDescription,
  BatchList,
  BatchStart,
  Curve,
  EventEntry,
  EventList,
  KegId,
  KeptEvent,
} from '../../contract/index.ts';
import { granted, HttpProblem } from '../problems.ts';
import { CurveQuery, curveBetween, unknownKeg } from './kegs.ts';
import { NO_CONTENT, PROBLEM_ANSWERS, type Routes } from './route.ts';

const KegParams = z.object({ kegId: KegId });
const EventParams = z.object({ kegId: KegId, eventId: z.string().min(1).max(80) });
const BatchParams = z.object({ batchId: z.string().min(1).max(80) });

/** What was done to kegs, and what is in them. */
export const entryRoutes: Routes = (api, services) => {
  const { register, kegChanges } = services;

  api.get(
    '/kegs/:kegId/events',
    { schema: { params: KegParams, response: { 200: EventList, ...PROBLEM_ANSWERS } } },
    (request) => {
      const keg = register.keg(request.params.kegId);
      if (keg === null) throw unknownKeg(request.params.kegId);
      return { events: register.eventsOf(keg).map(presentEvent) };
    },
  );
  api.post(
    '/kegs/:kegId/events',
    { schema: { params: KegParams, body: EventEntry, response: { 201: KeptEvent, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      void reply.code(201);
      return granted(kegChanges.addEvent(request.params.kegId, request.body));
    },
  );
  api.put(
    '/kegs/:kegId/events/:eventId',
    { schema: { params: EventParams, body: EventEntry, response: { 200: KeptEvent, ...PROBLEM_ANSWERS } } },
    (request) => granted(kegChanges.correctEvent(request.params.kegId, request.params.eventId, request.body)),
  );
  api.delete(
    '/kegs/:kegId/events/:eventId',
    { schema: { params: EventParams, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      granted(kegChanges.withdrawEvent(request.params.kegId, request.params.eventId));
      void reply.code(204);
      return null;
    },
  );
  api.post(
    '/kegs/:kegId/batch',
    { schema: { params: KegParams, body: BatchStart, response: { 201: Batch, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      void reply.code(201);
      return granted(kegChanges.startBatch(request.params.kegId, request.body));
    },
  );
  api.get('/batches', { schema: { response: { 200: BatchList, ...PROBLEM_ANSWERS } } }, () => ({
    batches: register.batches().map(presentBatch).toReversed(),
  }));
  api.get(
    '/batches/:batchId',
    { schema: { params: BatchParams, response: { 200: Batch, ...PROBLEM_ANSWERS } } },
    (request) => presentBatch(knownBatch(request.params.batchId)),
  );
  api.patch(
    '/batches/:batchId',
    { schema: { params: BatchParams, body: BatchDescription, response: { 200: Batch, ...PROBLEM_ANSWERS } } },
    (request) => granted(kegChanges.describeBatch(request.params.batchId, request.body)),
  );
  api.get(
    '/batches/:batchId/curve',
    {
      schema: {
        params: BatchParams,
        querystring: CurveQuery.pick({ points: true }),
        response: { 200: Curve, ...PROBLEM_ANSWERS },
      },
    },
    (request) => {
      const { kegId, beganAtMs, endedAtMs } = knownBatch(request.params.batchId);
      const to = new Date(Math.max(endedAtMs ?? services.nowMs(), beganAtMs + 1)).toISOString();
      return curveBetween(services, kegId, {
        from: new Date(beganAtMs).toISOString(),
        to,
        points: request.query.points,
      });
    },
  );

  function knownBatch(batchId: string) {
    const batch = register.batch(batchId);
    if (batch === null) throw new HttpProblem('batch-unknown', `There is no batch ${batchId}.`);
    return batch;
  }
};
