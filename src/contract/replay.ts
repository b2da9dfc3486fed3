import { z } from 'zod';
import { EventId, Instant, KegId, Quantity } from './common.ts';
import { EVENT_KINDS, type EventKind } from './event.ts';
import { VerdictKind } from './state.ts';

/** A line of readings.jsonl, in order of arrival. `value` null: the probe had none. */
export const ReplayReading = z.object({
  t: Instant.describe('When it was measured'),
  keg: KegId.optional(),
  kind: Quantity,
  value: z.number().nullable(),
  unit: z.string().max(20).optional().describe('UCUM code; the quantity’s default if left out'),
});
export type ReplayReading = z.infer<typeof ReplayReading>;

/**
 * A line of events.jsonl: an event entry with `t` or `at`, and with its own fields or, where it has one number, that
 * number as `value` with `unit`.
 */
export const ReplayEvent = z.looseObject({
  kind: z.enum(EVENT_KINDS as [EventKind, ...EventKind[]]),
  t: Instant.optional(),
  at: Instant.optional(),
  keg: KegId.optional(),
  value: z.number().optional(),
  unit: z.string().max(20).optional(),
  eventId: EventId.optional().describe('Of an exported entry; means nothing to a replay'),
  enteredAt: Instant.optional().describe('Likewise'),
});
export type ReplayEvent = z.infer<typeof ReplayEvent>;

const volumes = z.number();
const hours = z.number().nonnegative().nullable();

/** A line that replay prints: what was said at that moment, resting on nothing later. */
export const ReplayLine = z.strictObject({
  t: Instant,
  equilibriumVolumes: volumes.nullable().describe('What the beer would hold in the end; null while a probe is silent'),
  dissolvedVolumes: volumes.describe('What it holds now, the likely value'),
  low: volumes.describe('Nine times in ten it holds no less than this and no more than `high`'),
  high: volumes,
  beerC: z.number().nullable(),
  gas: z.enum(['on', 'closed', 'unknown']),
  readyInHours: hours.describe('Null if it is in its window, or never within a week of waiting'),
  coldInHours: hours.describe('Null if it is cold, or never gets cold by waiting'),
  leak: z.enum(['none', 'suspected', 'likely']),
  verdict: VerdictKind,
});
export type ReplayLine = z.infer<typeof ReplayLine>;
