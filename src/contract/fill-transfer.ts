import { z } from 'zod';
import { Id, Instant, KegId, ShortText } from './common.ts';
import { BottleId, FillConditions, FilledBottle, FillParticulars, Opinion, Remark, SizeL } from './fill.ts';
import { BottlesText, FillPlan } from './plan.ts';

/** Lines of fills.jsonl: a fill, then its bottles; and plans that are kept. */
export const FILL_LINE_KINDS = ['fill', 'bottle', 'fill-plan'] as const;

/** A fill; its bottles follow, a line each. */
export const TransferFill = FillParticulars.extend({
  kind: z.literal('fill'),
  t: Instant.describe('When it began'),
  keg: KegId,
  fillId: Id,
  endedAt: Instant.nullable(),
});
export type TransferFill = z.infer<typeof TransferFill>;

/** A bottle of a fill that is here, or stands before it. */
export const TransferBottle = z.strictObject({
  kind: z.literal('bottle'),
  t: Instant.describe('When it was filled'),
  keg: KegId,
  fillId: Id,
  bottleId: BottleId,
  number: z.number().int().min(1).max(100_000),
  sizeL: SizeL,
  note: FilledBottle.shape.note,
  remark: Remark.nullable(),
  conditions: FillConditions.nullable(),
  destination: FilledBottle.shape.destination,
  destinationText: Remark.nullable(),
  tasting: z.strictObject({ at: Instant, text: Remark.min(1), opinion: Opinion.nullable() }).nullable(),
  removed: z.literal(true).optional().describe('It was taken back: only its id matters, so that it stays away'),
});
export type TransferBottle = z.infer<typeof TransferBottle>;

/** A kept fill plan as it was last worked out, and what of it stands in calendars. */
export const TransferPlan = z.strictObject({
  kind: z.literal('fill-plan'),
  t: Instant.describe('When it was made'),
  keg: KegId,
  planId: Id,
  batchId: z.string().max(80),
  name: ShortText,
  fillAt: Instant,
  bottles: BottlesText,
  checkedAt: Instant,
  cancelledAt: Instant.nullable(),
  changes: z.array(z.strictObject({ at: Instant, says: z.string().max(2000) })).max(100),
  plan: FillPlan,
  said: FillPlan.describe('As it was when something of it was last said to have changed'),
  entries: z
    .array(
      z.strictObject({
        uid: z.string().min(1).max(300),
        sequence: z.number().int().min(0),
        status: z.enum(['TENTATIVE', 'CANCELLED']),
        at: Instant,
        end: Instant,
        summary: z.string().max(1000),
        text: z.string().max(5000),
        changedAt: Instant,
      }),
    )
    .max(200)
    .describe('Its entries of the calendar'),
});
export type TransferPlan = z.infer<typeof TransferPlan>;

export const TransferFillLine = z.discriminatedUnion('kind', [TransferFill, TransferBottle, TransferPlan]);
export type TransferFillLine = z.infer<typeof TransferFillLine>;
