import { z } from 'zod';
import { Instant } from './common.ts';

/** GET /kegs/{kegId}/learning: what past batches taught of the keg; its next batch begins with it. */
export const KegLearnt = z.object({
  kegId: z.string(),
  learnt: z
    .object({
      batchId: z.string(),
      batchName: z.string(),
      endedAt: Instant,
      days: z.number().describe('In which a keg of 18.5 L at rest takes up two thirds of what it lacks'),
      lowDays: z.number().describe('5 % of the belief'),
      highDays: z.number().describe('95 % of the belief'),
    })
    .nullable()
    .describe('Null: no past batch, or it was forgotten'),
  forgottenAt: Instant.nullable().describe('Batches that ended before do not count'),
});
export type KegLearnt = z.infer<typeof KegLearnt>;
