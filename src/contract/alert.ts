import { z } from 'zod';
import { Instant } from './common.ts';

export const RuleName = z.enum([
  'ready-to-fill',
  'cold-enough',
  'carbonated',
  'no-longer-cold',
  'will-pass-window',
  'over-window',
  'pressure-falling',
  'leak',
  'regulator-creeping',
  'cylinder-low',
  'fridge-warm',
  'near-freezing',
  'over-working-pressure',
  'room-co2-long',
  'room-co2-short',
  'room-co2-danger',
  'probe-silent',
  'probe-implausible',
  'probe-zero',
  'entry-contradicts-probes',
  'service-trouble',
  'readings-not-kept',
  'readings-wait',
]);
export const AlertLevel = z.enum(['news', 'attention', 'urgent']);

/** One occurrence of an alert, from begin to end. */
export const Episode = z.object({
  id: z.string(),
  rule: RuleName,
  kegId: z.string().nullable().describe('Null if it concerns a place, a gas supply, the site or the service'),
  target: z
    .string()
    .describe('What the rule watches: a keg, place, gas supply, batch or probe id, or a part of the service'),
  state: z.enum(['building', 'active', 'clearing', 'ended']),
  level: AlertLevel,
  beganAt: Instant,
  endedAt: Instant.nullable(),
  unverified: z.boolean().describe('Nothing new was heard since: it may have changed'),
  acknowledgedAt: Instant.nullable(),
  mutedUntil: Instant.nullable(),
  mutedBecause: z.string().nullable().describe('What was said when it was muted'),
  unsteady: z.boolean().describe('It came and went several times within days, so it takes a day to end'),
  measured: z.number().nullable(),
  limit: z.number().nullable(),
  unit: z.string().nullable(),
  message: z.string(),
  advice: z.string(),
});
export type Episode = z.infer<typeof Episode>;

export const AlertList = z.object({ alerts: z.array(Episode) });

/** POST /alerts/{id}/mute */
export const AlertMute = z.strictObject({
  hours: z.number().gt(0).max(168).describe('At most a week'),
  because: z.string().trim().min(1).max(200).optional().describe('Why, for others who read it'),
});

const DELAY_S_MAX = 7 * 24 * 3600;
const DelayS = z.number().min(0).max(DELAY_S_MAX);

/** PUT /rules/{rule} and POST /rules/{rule}/try; what is left out stays as it is. */
export const RuleChange = z.strictObject({
  enabled: z.boolean().optional(),
  onDelayS: DelayS.optional().describe('How long the condition must hold before it is told (s)'),
  offDelayS: DelayS.optional().describe('How long it must be over before its end is told (s)'),
  limits: z.record(z.string(), z.number()).optional().describe('By name, as listed with the rule'),
});
export type RuleChange = z.infer<typeof RuleChange>;

export const RuleLimit = z.object({
  name: z.string(),
  value: z.number(),
  usual: z.number(),
  low: z.number().describe('The least that may be set'),
  high: z.number().describe('The most that may be set'),
  unit: z.string().describe('UCUM code; 1 for a probability'),
  what: z.string(),
});

/** A rule with its settings, and what its reader should know. */
export const Rule = z.object({
  rule: RuleName,
  title: z.string(),
  level: AlertLevel,
  enabled: z.boolean(),
  onDelayS: z.number(),
  offDelayS: z.number(),
  usualOnDelayS: z.number(),
  usualOffDelayS: z.number(),
  limits: z.array(RuleLimit),
  cause: z.string(),
  consequence: z.string(),
  action: z.string(),
  timeToAct: z.string(),
  source: z.string().describe('Where its limits come from'),
});
export type Rule = z.infer<typeof Rule>;

export const RuleList = z.object({ rules: z.array(Rule) });

/** What a rule would have told of the past. */
export const RuleTrial = z.object({
  rule: RuleName,
  from: Instant.describe('Since when enough is kept to judge by'),
  to: Instant,
  stepS: z.number().describe('The past was looked at in steps of this (s)'),
  begins: z.number().int(),
  messages: z.number().int().describe('Begins and ends'),
  episodes: z.array(
    z.object({
      target: z.string(),
      kegId: z.string().nullable(),
      beganAt: Instant,
      endedAt: Instant.nullable().describe('Null if it would go on'),
      message: z.string(),
    }),
  ),
  note: z.string().describe('What the trial cannot see; empty if nothing'),
});
export type RuleTrial = z.infer<typeof RuleTrial>;

/** How much the alerts say, and which of them want care. */
export const AlertHealth = z.object({
  days: z.array(
    z.object({ date: z.string(), begins: z.number().int(), ends: z.number().int(), urgent: z.number().int() }),
  ),
  noisiest: z.array(z.object({ rule: RuleName, begins: z.number().int() })).describe('Of the last 30 days, most first'),
  unsteady: z.array(Episode).describe('Open, and come and gone several times within days'),
  stale: z.array(Episode).describe('Open for more than a week'),
  unverified: z.array(Episode).describe('Open, and nothing new heard'),
  muted: z.array(Episode),
  neverAcknowledged: z.array(Episode).describe('Open for more than a day, no good news, and nobody acknowledged it'),
  people: z
    .array(
      z.object({
        personId: z.string(),
        name: z.string(),
        days: z
          .array(z.object({ date: z.string(), messages: z.number().int() }))
          .describe('Days on which something was delivered, by the site’s time zone; 31 at most'),
        waiting: z.number().int().describe('Parts of messages that wait, held ones included'),
        givenUp: z.number().int().describe('Messages that never arrived'),
      }),
    )
    .describe('What was delivered to each person'),
  heartbeat: z
    .object({
      state: z.enum(['not-set', 'untried', 'works', 'failing']),
      everyMin: z.number().nullable(),
      lastSentAt: Instant.nullable().describe('When the watcher elsewhere last took one'),
      trouble: z.string().nullable().describe('Where the way from a probe to a person ends; null if it does not'),
    })
    .describe('Whether a watcher elsewhere is told that all is well'),
});
export type AlertHealth = z.infer<typeof AlertHealth>;
