import { z } from 'zod';
import type { Services } from '../../app/services.ts';
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
    void reply
      .type('application/openmetrics-text; version=1.0.0; charset=utf-8')
      .serializer((text: unknown) => String(text));
    return metrics(services);
  });
};

/** @source OpenMetrics 1.0.0, section 3 (text format) */
function metrics({ ledger, health, register, feed, estimates, gapCounts, deliveryReport }: Services): string {
  const counts = ledger();
  const lines = [
    '# TYPE quietkeg_values counter',
    '# HELP quietkeg_values Values since the start, by what became of them.',
  ];
  for (const [fate, count] of Object.entries(counts)) {
    if (fate !== 'waiting') lines.push(`quietkeg_values_total{fate="${fate}"} ${count}`);
  }
  lines.push('# TYPE quietkeg_values_waiting gauge', `quietkeg_values_waiting ${counts.waiting}`);
  lines.push('# TYPE quietkeg_messages_held gauge', `quietkeg_messages_held ${deliveryReport().heldMessages}`);
  lines.push(
    '# TYPE quietkeg_gaps gauge',
    '# HELP quietkeg_gaps Times without readings that were noted, by their cause.',
  );
  for (const [cause, count] of gapCounts()) lines.push(`quietkeg_gaps{cause="${cause}"} ${count}`);
  lines.push('# TYPE quietkeg_kegs gauge', `quietkeg_kegs ${register.kegs().length}`);
  lines.push('# TYPE quietkeg_estimates_pending gauge', `quietkeg_estimates_pending ${estimates.pending}`);
  lines.push('# TYPE quietkeg_live_revision gauge', `quietkeg_live_revision ${feed.revision()}`);
  lines.push('# TYPE quietkeg_part_works gauge');
  for (const [part, trouble] of Object.entries(health())) {
    lines.push(`quietkeg_part_works{part="${part}"} ${trouble === null ? 1 : 0}`);
  }
  return `${lines.join('\n')}\n# EOF\n`;
}
