import { z } from 'zod';
import { Instant } from './common.ts';

export const GapCause = z.enum(['service-down', 'session-lost', 'broker-dropped', 'probe-silent']);

/** A span without readings, or with fewer than were sent, and what is known of why. */
export const Gap = z.object({ from: Instant, to: Instant, cause: GapCause });
export type Gap = z.infer<typeof Gap>;

const Count = z.number().int().nonnegative();

export const AuditFinding = z.object({
  name: z.enum(['session', 'persistence', 'dropped', 'subscription', 'anonymous']),
  state: z.enum(['good', 'act', 'unknown']),
  message: z.string(),
  setting: z.string().nullable().describe('Lines for mosquitto.conf that mend it'),
});

/** GET /delivery: how surely readings come in, and what is to be done about it. */
export const Delivery = z.object({
  ledger: z
    .object({ received: Count, stored: Count, duplicates: Count, rejected: Count, waiting: Count })
    .describe('Values since the start: received = stored + duplicates + rejected + waiting'),
  catchUp: z
    .object({ waiting: Count, perSecond: z.number().nonnegative(), secondsLeft: z.number().nullable() })
    .nullable()
    .describe('While many readings wait for the store; null if it keeps up'),
  clock: z.string().nullable().describe('Null, or why the clock of the machine is not believed'),
  heldMessages: Count.describe('Messages that wait until the clock of the machine is believed'),
  broker: z.object({
    kind: z.enum(['embedded', 'elsewhere']),
    version: z.string().nullable(),
    trouble: z.string().nullable(),
    audit: z.array(AuditFinding).describe('Empty for the embedded broker'),
  }),
  probes: z.array(
    z.object({
      probeId: z.string(),
      topic: z.string(),
      delivery: z
        .enum(['answered', 'can-be-lost', 'unknown'])
        .describe('Answered: it sends again until it is answered (QoS 1 and up). Can be lost: it does not (QoS 0)'),
      clockOffS: z
        .number()
        .nullable()
        .describe('How far its clock is behind (negative: ahead), if every message says so'),
      advice: z.string(),
    }),
  ),
  gaps: z.array(Gap).describe('Newest first: when the service was down, or the broker lost messages'),
});
export type Delivery = z.infer<typeof Delivery>;
