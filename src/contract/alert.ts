import { z } from 'zod';
import { Instant } from './common.ts';

export const RuleName = z.enum(['cold-enough', 'probe-silent', 'readings-not-kept', 'readings-wait']);
export const AlertLevel = z.enum(['news', 'attention', 'urgent']);

/** One occurrence of an alert, from begin to end. */
export const Episode = z.object({
  id: z.string(),
  rule: RuleName,
  kegId: z.string().nullable().describe('Null if it concerns a place, a gas supply, the site or the service'),
  target: z.string().describe('What the rule watches: a keg id, a probe id, or a part of the service'),
  state: z.enum(['building', 'active', 'clearing', 'ended']),
  level: AlertLevel,
  beganAt: Instant,
  endedAt: Instant.nullable(),
  unverified: z.boolean().describe('Nothing new was heard since: it may have changed'),
  acknowledgedAt: Instant.nullable(),
  mutedUntil: Instant.nullable(),
  measured: z.number().nullable(),
  limit: z.number().nullable(),
  unit: z.string().nullable(),
  message: z.string(),
  advice: z.string(),
});
export type Episode = z.infer<typeof Episode>;

export const AlertList = z.object({ alerts: z.array(Episode) });

/** POST /alerts/{id}/mute */
export const AlertMute = z.strictObject({ hours: z.number().gt(0).max(168).describe('At most a week') });
