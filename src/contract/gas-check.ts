import { z } from 'zod';
import { Instant } from './common.ts';
import { Leak, VolumesRange } from './state.ts';

const Column = z.array(z.number().nullable());

/** Whether a keg without beer, or just filled, holds its gas. */
export const Tightness = z.object({
  finding: z.enum(['tight', 'leaks', 'too-early', 'unknown']),
  kpaPerHour: z.number().nullable().describe('Fall of the pressure at a steady temperature; null while unknown'),
  kpaPerHourPlusMinus: z.number().nullable().describe('Half width of its 90 % interval'),
  hoursLeft: z.number().nullable().describe('Hours until a leak that matters would show; null if it can be told now'),
});
export type Tightness = z.infer<typeof Tightness>;

export const RunningGasCheck = z.object({
  startedAt: Instant,
  shaken: z.boolean(),
  hours: z.number().describe('Since the gas was closed'),
  kpaGaugeBefore: z.number().nullable(),
  kpaGaugeNow: z.number().nullable(),
  bandBefore: VolumesRange.nullable().describe('What was believed to be dissolved when the gas was closed'),
  bandNow: VolumesRange.nullable(),
  leak: Leak.nullable(),
  tightness: Tightness.nullable().describe('For a keg without beer, or filled less than a day ago'),
  enough: z.boolean().describe('True once going on tells little more'),
  says: z.string().describe('What the pressure says so far, in one or two plain sentences'),
  course: z.object({
    time: z.array(Instant),
    headspaceKpaGauge: Column,
    volumes: Column,
    low: Column,
    high: Column,
  }),
});
export type RunningGasCheck = z.infer<typeof RunningGasCheck>;

export const GasCheckResult = z.object({
  startedAt: Instant,
  endedAt: Instant,
  shaken: z.boolean(),
  kpaGaugeBefore: z.number().nullable(),
  kpaGaugeAfter: z.number().nullable(),
  bandBefore: VolumesRange.nullable(),
  bandAfter: VolumesRange.nullable(),
  leak: Leak.nullable(),
  tightness: Tightness.nullable(),
  says: z.string(),
});
export type GasCheckResult = z.infer<typeof GasCheckResult>;

/** GET /kegs/{kegId}/gas-check: the check that is going on, how long one would be worth it, and what earlier ones found. */
export const GasCheckReport = z.object({
  kegId: z.string(),
  at: Instant,
  batchId: z.string().nullable(),
  /** With beer in the keg a check tells what is dissolved and whether it leaks; without, only whether it leaks. */
  running: RunningGasCheck.nullable(),
  plusMinusNow: z.number().nullable().describe('Half width of the 90 % interval of what is dissolved (volumes)'),
  expected: z
    .array(z.object({ hours: z.number(), shaken: z.boolean(), plusMinus: z.number() }))
    .describe('Half width to expect after a check of so many hours, worked out with the present estimate'),
  advice: z.string().describe('How long is worth it now, and why; or what is missing'),
  results: z.array(GasCheckResult).describe('Of this batch, newest first'),
});
export type GasCheckReport = z.infer<typeof GasCheckReport>;
