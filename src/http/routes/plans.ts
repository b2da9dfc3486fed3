import { z } from 'zod';
import type { PlanEntry } from '../../app/plan-entries.ts';
import { FillPlan, Id, KegId, KeptPlan, PlanCalendar, PlanQuery, PlanRequest, Plans } from '../../contract/index.ts';
import { icalendar } from '../icalendar.ts';
import { granted } from '../problems.ts';
import { NO_CONTENT, PROBLEM_ANSWERS, type Routes } from './route.ts';

const KegParams = z.object({ kegId: KegId });
const PlanParams = z.object({ planId: Id });
const CalendarQuery = z.strictObject({
  key: z.string().max(200).describe('As in the calendarPath of GET /plans; a new one makes it useless'),
});

/** Fill plans: looked at, kept, cancelled, and as a calendar. */
export const planRoutes: Routes = (api, { fillPlans }) => {
  api.get(
    '/kegs/:kegId/plan',
    { schema: { params: KegParams, querystring: PlanQuery, response: { 200: FillPlan, ...PROBLEM_ANSWERS } } },
    ({ params, query }) => granted(fillPlans.look(params.kegId, query.fillAt, query.bottles)),
  );
  api.get('/plans', { schema: { response: { 200: Plans, ...PROBLEM_ANSWERS } } }, () => fillPlans.list());
  api.post(
    '/plans',
    { schema: { body: PlanRequest, response: { 201: KeptPlan, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      void reply.code(201);
      return granted(fillPlans.keep(request.body));
    },
  );
  api.delete(
    '/plans/:planId',
    { schema: { params: PlanParams, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      granted(fillPlans.cancel(request.params.planId));
      void reply.code(204);
      return null;
    },
  );
  api.post('/plans/calendar', { schema: { response: { 200: PlanCalendar, ...PROBLEM_ANSWERS } } }, () =>
    fillPlans.renewCalendar(),
  );
  api.get(
    '/plans.ics',
    {
      schema: {
        querystring: CalendarQuery,
        response: {
          200: z.string().describe('text/calendar, RFC 5545'),
          304: NO_CONTENT.describe('Nothing changed'),
          ...PROBLEM_ANSWERS,
        },
      },
      serializerCompiler: () => (text) => (typeof text === 'string' ? text : ''),
    },
    (request, reply) => {
      const entries = granted(fillPlans.calendar(request.query.key));
      const text = icalendar(entries);
      const tag = tagOf(entries, text);
      void reply.header('etag', tag).header('cache-control', 'private, no-cache');
      if (tagsOf(request.headers['if-none-match']).includes(tag)) {
        void reply.code(304);
        return null;
      }
      void reply.type('text/calendar; charset=utf-8');
      return text;
    },
  );
};

/** Whatever changes an entry raises its sequence and its time of change; whatever changes the form, the length. */
function tagOf(entries: readonly PlanEntry[], text: string): string {
  const changes = entries.reduce((sum, { sequence }) => sum + sequence, 0);
  const latest = Math.max(0, ...entries.map(({ changedMs }) => changedMs));
  return `"${entries.length}-${changes}-${latest.toString(36)}-${text.length}"`;
}

/** Weak and strong tags compare alike here. @source RFC 9110, 13.1.2 */
const tagsOf = (header: string | undefined): string[] =>
  (header ?? '').split(',').map((tag) => tag.trim().replace(/^W\//, ''));
