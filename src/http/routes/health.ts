import { z } from 'zod';
import { METRICS_TYPE, metricsText } from '../metrics.ts';
import type { Routes } from './route.ts';

const Live = z.object({ status: z.literal('live') });
const Ready = z.object({
  status: z.enum(['ready', 'not-ready']),
  broker: z.string().nullable().describe('Null, or what is wrong with it'),
  spool: z.string().nullable(),
  store: z.string().nullable(),
  clock: z.string().nullable().describe('Null, or why the clock of the machine is not believed'),
});

/** At the root: does the process turn, and do its parts answer. */
export const healthRoutes: Routes = (api, services) => {
  api.get('/health/live', { schema: { response: { 200: Live } } }, () => ({ status: 'live' }) as const);
  api.get('/health/ready', { schema: { response: { 200: Ready, 503: Ready } } }, (_request, reply) => {
    const health = services.health();
    const works = Object.values(health).every((trouble) => trouble === null);
    void reply.code(works ? 200 : 503);
    return { status: works ? ('ready' as const) : ('not-ready' as const), ...health };
  });
  api.get('/metrics', { schema: { response: { 200: z.string() } } }, (_request, reply) => {
    void reply.type(METRICS_TYPE).serializer((text: unknown) => String(text));
    return metricsText(services);
  });
};
