import { z } from 'zod';
import { Instant, Quantity } from './common.ts';
import { Gap } from './delivery.ts';
import { VerdictKind } from './state.ts';

const Column = z.array(z.number().nullable());
const Extremes = z.object({ min: Column, mean: Column, max: Column });

export const DoubtedValue = z.object({
  quantity: Quantity,
  at: Instant,
  value: z.number().describe('Calibrated, °C or kPa absolute'),
});
export type DoubtedValue = z.infer<typeof DoubtedValue>;

/** Columns of equal length. A row of nulls is a gap: nothing was heard for longer than the probes' usual silence. */
export const Curve = z.object({
  kegId: z.string(),
  batchId: z.string().nullable(),
  from: Instant,
  to: Instant,
  bucketMs: z.number().int().positive(),
  columns: z.object({
    time: z.array(Instant),
    beerTemperatureC: Extremes,
    headspaceKpaGauge: Extremes,
    airTemperatureC: Extremes,
    equilibriumVolumes: Column,
    dissolvedVolumes: Column,
    dissolvedLow: Column,
    dissolvedHigh: Column,
  }),
  verdicts: z
    .array(z.object({ at: Instant, kind: VerdictKind, headline: z.string() }))
    .describe('Verdicts that held meanwhile, in order; the first may have begun before'),
  doubted: z
    .array(DoubtedValue)
    .optional()
    .describe(
      'Values that cannot be true (a jump that nothing makes so fast), by quantity and in order: the newest 100 of each. They are in no column.',
    ),
  gaps: z.array(Gap).optional().describe('Where readings are missing, and why, as far as that is known'),
});
export type Curve = z.infer<typeof Curve>;
