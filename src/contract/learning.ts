import { z } from 'zod';
import { Line } from './catalogue.ts';
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
      cooling: z
        .object({
          hours: z.number().describe('In which its beer gets two thirds of the way to what its fridge is set to'),
          lowHours: z.number().describe('5 % of the belief'),
          highHours: z.number().describe('95 % of the belief'),
        })
        .nullable()
        .describe('Null: no past batch was seen cooling'),
    })
    .nullable()
    .describe('Null: no past batch, or it was forgotten'),
  forgottenAt: Instant.nullable().describe('Batches that ended before do not count'),
});
const Share = z.object({
  fills: z.number().int(),
  bottles: z.number().int(),
  foamy: z.number().int().describe('Foamed, gushed or spilled'),
  share: z.number(),
  low: z.number().describe('5 % of the belief; bottles of one fill count as alike'),
  high: z.number().describe('95 % of the belief'),
});

/** GET /clean-fills: what gave clean fills on this installation's line. */
export const CleanFills = z.object({
  line: Line.nullable().describe('Only fills over this line count; null: none is entered'),
  otherLineFills: z.number().int().describe('Fills over another line'),
  unheardFills: z.number().int().describe('Fills of which temperature or pressure was not heard'),
  fewData: z.boolean().describe('True: the suggestion says little more than what is usual'),
  all: Share,
  pressure: z
    .object({ kpaGauge: z.number(), low: z.number(), high: z.number() })
    .describe('The serving pressure that suits, nine times in ten between low and high'),
  factors: z.array(
    z.object({
      name: z.enum(['temperature', 'carbonation', 'rest', 'pressure']),
      unit: z.string(),
      limit: z.number().describe('The middle of the fills'),
      below: Share,
      above: Share,
      moreFoams: z.number().nullable().describe('How sure it is that more of it means more foam; null: it has a best'),
    }),
  ),
  suggestion: z.array(z.string()).describe('For the next time, in plain sentences'),
});
export type CleanFills = z.infer<typeof CleanFills>;

/** GET /batches/{batchId}/ready-times: when its carbonation was expected to be right, and when it was. */
export const ReadyTimes = z.object({
  batchId: z.string(),
  inWindowAt: Instant.nullable().describe(
    'When its carbonation was right for the first time; null: not yet, or not known',
  ),
  readyAt: Instant.nullable().describe('When the verdict was ready for the first time'),
  forecasts: z
    .array(
      z.object({
        at: Instant.describe('When it was said'),
        hours: z.number(),
        lowHours: z.number(),
        highHours: z.number(),
        expectedAt: Instant,
        lateHours: z.number().nullable().describe('How much later it came; negative: earlier; null: not yet'),
        inRange: z.boolean().nullable().describe('Did it come within the range? null: not yet, and it still may'),
      }),
    )
    .describe('One a day, the first first'),
});
export type ReadyTimes = z.infer<typeof ReadyTimes>;
export type KegLearnt = z.infer<typeof KegLearnt>;
