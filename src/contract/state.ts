import { z } from 'zod';
import { Instant, Quantity } from './common.ts';

export const VerdictKind = z.enum(['ready', 'wait', 'act', 'unknown']);
export const CheckState = z.enum(['pass', 'wait', 'act', 'unknown', 'not-watched']);
export const CheckName = z.enum([
  'carbonation',
  'overcarbonation-risk',
  'cold',
  'freezing-margin',
  'serving-pressure',
  'steady',
  'at-rest',
  'probes-fresh',
  'purge-pressure',
  'bottles-cold',
  'gas-supply',
  'beer-left',
]);

const Measured = z.union([z.number(), z.string()]).nullable();

export const Check = z.object({
  name: CheckName,
  state: CheckState,
  measured: Measured.describe('What is; a number in `unit`, a text, or null if nothing is known'),
  wanted: Measured.describe('What should be; a number in `unit`, a text, or null'),
  wantedLow: z.number().nullable().describe('Lower limit in `unit`, or null if there is none'),
  wantedHigh: z.number().nullable().describe('Upper limit in `unit`, or null if there is none'),
  unit: z.string().nullable().describe('UCUM code, or {volumes}; null for texts'),
  advice: z.string().describe('One plain sentence: what to do; empty if nothing is to do'),
});

export const Input = z.object({
  quantity: Quantity,
  probeId: z.string(),
  value: z.number(),
  unit: z.string().describe('UCUM code'),
  at: Instant.describe('When it was measured'),
  ageMs: z.number().int().nonnegative(),
  state: z.enum(['fresh', 'late', 'stale']),
  freshForMs: z.number().int().positive().describe('Age up to which it is fresh: the page can tell by itself'),
  lateForMs: z.number().int().positive().describe('Age up to which it is late; older is stale'),
});

const HoursRange = z.object({ hours: z.number(), lowHours: z.number(), highHours: z.number() });
const VolumesRange = z.object({ volumes: z.number(), low: z.number(), high: z.number() });

/** The state of one keg: the answer of GET /kegs/{id}/state, a WebSocket frame's content, the retained MQTT message. */
export const KegState = z.object({
  kegId: z.string(),
  at: Instant,
  name: z.string().describe('The keg’s name; its id until it has one'),
  adopted: z.boolean().describe('False: heard by MQTT, but not in the catalogue yet'),
  placeId: z.string(),
  supplyId: z.string(),
  batchId: z.string().nullable(),
  batchName: z.string().nullable(),
  style: z.string().nullable(),
  abvPercent: z.number().nullable(),
  filledAt: Instant.nullable(),
  beerTemperatureC: z.number().nullable(),
  headspaceKpaGauge: z.number().nullable(),
  ambientKpaAbsolute: z.number(),
  ambientFrom: z.enum(['barometer', 'batch-altitude', 'site-altitude', 'assumed-sea-level']),
  gas: z.enum(['on', 'closed', 'unknown']),
  regulatorKpaGauge: z.number().nullable().describe('Last pressure entered or heard for its regulator'),
  advisedKpaGauge: z
    .number()
    .nullable()
    .describe('Regulator setting that ends inside the window; null where none can be told'),
  equilibriumVolumes: z
    .number()
    .nullable()
    .describe('What the beer would hold in the end at this temperature and pressure'),
  dissolved: VolumesRange.nullable().describe(
    'What is in the beer now, with a 90 % interval; null until it can be estimated',
  ),
  target: VolumesRange.extend({ celsius: z.number().describe('Wished fill temperature') }),
  readyIn: HoursRange.nullable(),
  coldIn: HoursRange.nullable(),
  inputs: z.array(Input),
  verdict: z.object({
    kind: VerdictKind,
    since: Instant,
    headline: z.string(),
    checks: z.array(Check),
  }),
});
export type KegState = z.infer<typeof KegState>;
export type Check = z.infer<typeof Check>;
export type CheckName = z.infer<typeof CheckName>;
export type Input = z.infer<typeof Input>;
export type VerdictKind = z.infer<typeof VerdictKind>;
