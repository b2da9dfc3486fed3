import { z } from 'zod';
import { instant, presentKeg } from '../../app/present.ts';
import type { Services } from '../../app/services.ts';
import { Curve, Instant, Keg, KegChange, KegId, KegList, KegState, type Suggestion } from '../../contract/index.ts';
import { granted, HttpProblem } from '../problems.ts';
import { NO_CONTENT, PROBLEM_ANSWERS, type Routes } from './route.ts';

const DAY_MS = 24 * 3600_000;
/** Longest span of a curve (ms): ten years. */
const SPAN_MS_MAX = 3653 * DAY_MS;

export const CurveQuery = z.object({
  from: Instant.optional().describe('A day before `to`, if left out'),
  to: Instant.optional().describe('Now, if left out'),
  points: z.coerce.number().int().min(2).max(2000).default(600),
});
const KegParams = z.object({ kegId: KegId });

export const kegRoutes: Routes = (api, services) => {
  const { register, feed, kegChanges } = services;
  const batchOf = (kegId: string) => register.batchAt(kegId, services.nowMs());

  api.get('/kegs', { schema: { response: { 200: KegList, ...PROBLEM_ANSWERS } } }, () => ({
    kegs: register.kegs().map((keg) => presentKeg(keg, batchOf(keg.kegId))),
    suggestions: services.monitor.suggestedKegIds().map((kegId) => suggestion(services, kegId)),
  }));
  api.get('/kegs/:kegId', { schema: { params: KegParams, response: { 200: Keg, ...PROBLEM_ANSWERS } } }, (request) => {
    const { kegId } = request.params;
    const keg = register.keg(kegId);
    if (keg === null) throw unknownKeg(kegId);
    return presentKeg(keg, batchOf(kegId));
  });
  api.put(
    '/kegs/:kegId',
    { schema: { params: KegParams, body: KegChange, response: { 200: Keg, ...PROBLEM_ANSWERS } } },
    (request) => granted(kegChanges.putKeg(request.params.kegId, request.body)),
  );
  api.delete(
    '/kegs/:kegId',
    { schema: { params: KegParams, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      const { kegId } = request.params;
      granted(kegChanges.deleteKeg(kegId, feed.state(kegId) !== null));
      void reply.code(204);
      return null;
    },
  );
  api.get(
    '/kegs/:kegId/state',
    { schema: { params: KegParams, response: { 200: KegState, ...PROBLEM_ANSWERS } } },
    (request) => {
      const state = feed.state(request.params.kegId);
      if (state === null) throw unknownKeg(request.params.kegId);
      return services.monitor.stateNow(state.kegId) ?? state;
    },
  );
  api.get(
    '/kegs/:kegId/curve',
    { schema: { params: KegParams, querystring: CurveQuery, response: { 200: Curve, ...PROBLEM_ANSWERS } } },
    (request) => {
      const { kegId } = request.params;
      if (feed.state(kegId) === null) throw unknownKeg(kegId);
      return curveBetween(services, kegId, request.query);
    },
  );
};

/** A curve between two times, or the problem with them. */
export async function curveBetween(
  services: Services,
  kegId: string,
  { from, to, points }: z.infer<typeof CurveQuery>,
) {
  const toMs = to === undefined ? services.nowMs() : Date.parse(to);
  const fromMs = from === undefined ? toMs - DAY_MS : Date.parse(from);
  if (fromMs >= toMs || toMs - fromMs > SPAN_MS_MAX) {
    throw new HttpProblem('body-invalid', 'from: must lie before `to`, by ten years at most');
  }
  // Farther back even the years are written otherwise.
  if (fromMs < 0) throw new HttpProblem('body-invalid', 'from: must not lie before 1970');
  try {
    return await services.curve.curve({ kegId, fromMs, toMs, points });
  } catch (error) {
    throw new HttpProblem('store-unavailable', `Past readings cannot be read now: ${(error as Error).message}`);
  }
}

function suggestion({ probes }: Services, kegId: string): z.infer<typeof Suggestion> {
  const heard = probes.of({ kind: 'keg', id: kegId });
  return {
    kegId,
    firstHeardAt: instant(Math.min(...heard.map((value) => value.firstHeardAtMs))),
    lastHeardAt: instant(Math.max(...heard.map((value) => value.rhythm.lastMeasuredAtMs))),
    quantities: [...new Set(heard.map((value) => value.probe.quantity))],
  };
}

export function unknownKeg(kegId: string): HttpProblem {
  return new HttpProblem(
    'keg-unknown',
    `No keg ${kegId} is in the catalogue, and none was heard of. Add it with PUT /api/v1/kegs/${kegId}.`,
  );
}
