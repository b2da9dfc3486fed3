import { z } from 'zod';
import { Amiss, Instant, Quantity } from './common.ts';
import { EventEntry } from './event.ts';

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
  amiss: Amiss.nullable().optional().describe('Why it is stale whatever its age; null: nothing is amiss'),
});

export const HoursRange = z.object({ hours: z.number(), lowHours: z.number(), highHours: z.number() });
export const VolumesRange = z.object({ volumes: z.number(), low: z.number(), high: z.number() });

export const Leak = z.enum(['none', 'suspected', 'likely']);

/** Something that the probes say and nobody entered, or that contradicts what was entered. */
export const Notice = z.object({
  name: z.enum([
    'closed-but-holds',
    'open-but-no-gas',
    'gas-shut',
    'gas-opened',
    'leak-suspected',
    'leak-likely',
    'probe-zero',
    'air-in-headspace',
  ]),
  message: z.string().describe('What is believed and what it rests on, in one or two plain sentences'),
  advice: z.string().describe('What to do; empty if nothing is to do'),
  entry: EventEntry.nullable().describe('The entry that would say so; post it as it is to the keg’s events'),
});
export type Notice = z.infer<typeof Notice>;

/** What the estimate believes of a keg besides what is dissolved. */
export const Belief = z.object({
  leak: Leak,
  leakProbability: z.number(),
  airKpa: z.number().describe('Air left in the headspace, partial pressure'),
  probeZeroKpa: z.number().describe('How much too high the pressure probe reads'),
  probeZeroPlusMinusKpa: z.number().describe('Half width of its 90 % interval'),
  insideProbability: z.number().describe('How likely it is that the beer is inside its window'),
  aboveProbability: z.number().describe('How likely it is that the beer is past its window'),
  passesTopInHours: z
    .number()
    .nullable()
    .describe('Until the risk that it is past the window’s top reaches 5 %; 0: it does now; null: not within a week'),
});

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
  belief: Belief.nullable().describe('Null until it can be estimated'),
  notices: z.array(Notice),
  gasCheck: z
    .object({ since: Instant, shaken: z.boolean() })
    .nullable()
    .describe('The gas check that is going on; null if none is'),
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
