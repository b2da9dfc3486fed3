import { z } from 'zod';
import { Id, Instant } from './common.ts';
import { HoursRange, VolumesRange } from './state.ts';

/** POST /what-if: a keg left at a temperature and a pressure for some hours. */
export const WhatIfRequest = z.strictObject({
  kegId: Id.optional().describe('Begins with what this keg is believed to hold; left out: a keg of the usual size'),
  beerTemperatureC: z.number().min(-5).max(40),
  headspaceKpaGauge: z.number().min(-50).max(600),
  hours: z
    .number()
    .gt(0)
    .max(24 * 60)
    .default(168),
  fromVolumes: z
    .number()
    .min(0)
    .max(6)
    .optional()
    .describe('Without kegId: what the beer holds at the start; flat, if left out'),
  target: z
    .strictObject({ low: z.number().min(0).max(6), high: z.number().min(0).max(6) })
    .optional()
    .describe('Left out: the keg’s window, else 2.0 to 2.5'),
});
export type WhatIfRequest = z.infer<typeof WhatIfRequest>;

export const WhatIfAnswer = z.object({
  kegId: z.string().nullable(),
  at: Instant.describe('From when the hours count'),
  equilibriumVolumes: z.number().describe('Where it ends'),
  target: z.object({ low: z.number(), high: z.number() }),
  start: VolumesRange,
  curve: z.object({
    hours: z.array(z.number()),
    volumes: z.array(z.number()),
    low: z.array(z.number()),
    high: z.array(z.number()),
  }),
  readyIn: HoursRange.nullable().describe('Until it is inside the window; null if that takes longer or never happens'),
  insideProbability: z.number().describe('At the end of the hours'),
  passing: z
    .object({ probability: z.number(), hours: z.number().nullable() })
    .describe('How likely it passes the window’s top within the hours, and when with 5 %'),
  says: z.string().describe('The same in one or two plain sentences'),
});
export type WhatIfAnswer = z.infer<typeof WhatIfAnswer>;
