import { z } from 'zod';
import { Id, Instant, KegId, ShortText } from './common.ts';
import { VolumesRange } from './state.ts';

/** How bottles are named in addresses and bodies. */
const BOTTLES_HELP = 'Number x litres, sizes with commas between: 12x0.5,6x0.33';
export const BottlesText = z.string().trim().min(3).max(120).describe(BOTTLES_HELP);

/** GET /kegs/{kegId}/plan */
export const PlanQuery = z.strictObject({
  fillAt: Instant.describe('When the first bottle is to be filled'),
  bottles: BottlesText,
});
export type PlanQuery = z.infer<typeof PlanQuery>;

export const PlanStep = z.object({
  at: Instant,
  earliest: Instant,
  latest: Instant,
  what: z.string().describe('What to do, or what the keg does by itself'),
  value: z.number().nullable(),
  unit: z.string().nullable().describe('UCUM code of the value'),
  why: z.string(),
  kind: z.string().describe('A stable word for the step: regulator, check-start, fridge, bottles, fill and others'),
  by: z.enum(['you', 'keg']).describe('Who does it'),
});
export type PlanStep = z.infer<typeof PlanStep>;

export const PlanSetPoints = z.object({
  servingKpaGauge: z.number(),
  purgeKpaGauge: z.number().describe('About 103, for two or three seconds: common practice'),
  line: z.object({ boreMm: z.number(), lengthM: z.number(), liftM: z.number() }),
  lineAssumed: z.boolean().describe('True while the site’s line is not entered, so that a usual one is taken'),
  flowMlPerS: z.number().describe('Through a smooth line; a real one lets through less'),
  slowFlowMlPerS: z.number().describe('With 2.5 times its friction, as the trade’s most careful figures have it'),
  regime: z.enum(['none', 'laminar', 'transition', 'turbulent']),
  secondsPerBottle: z.array(
    z.object({ litres: z.number(), seconds: z.number().nullable(), slowSeconds: z.number().nullable() }),
  ),
  breakoutKpaGauge: z.number().describe('The beer’s own pressure: served lower it breaks out in the line'),
  breaksOut: z.boolean(),
  kegVolumes: z.number().describe('Carbonation in the keg at the hour'),
  bottleVolumes: z
    .number()
    .describe('As a published gentle pour of one lager into a glass left it; a bottle filled from below loses less'),
  bottleKpaGaugeAt20C: z.number(),
  bottleKpaGaugeAt30C: z.number(),
  glassKpaGauge: z.number().describe('The least proof pressure named for new beer bottles'),
  glassSafeKpaGauge: z.number().describe('That over a safety factor of 3'),
  glassIsSafe: z.boolean().describe('False: do not fill ordinary beer bottles with this'),
});
export type PlanSetPoints = z.infer<typeof PlanSetPoints>;

export const FillPlan = z.object({
  kegId: z.string(),
  at: Instant.describe('When it was worked out'),
  fillAt: Instant,
  bottleGroups: z.array(z.object({ count: z.number(), litres: z.number() })),
  possible: z.boolean().describe('True from a probability of 0.5 on'),
  probability: z.number().describe('That the keg is ready at the hour, if the steps are followed'),
  reason: z.string().describe('What it hangs on, or why not and what is possible instead'),
  steps: z.array(PlanStep).describe('In order of time'),
  needs: z.object({
    bottles: z.number().describe('With spares'),
    caps: z.number(),
    co2Grams: z.number(),
    co2LeftGrams: z.number().nullable().describe('In the cylinder, where a scale tells'),
    sanitiserL: z.number(),
    bottleL: z.number(),
    beerL: z.number().describe('With what stays in the line and foams away'),
    beerLeftL: z.number().nullable(),
    sessionMinutes: z.number(),
  }),
  setPoints: PlanSetPoints,
  target: z.object({ low: z.number(), high: z.number(), volumes: z.number(), celsius: z.number() }),
  insideBetween: z
    .object({ from: Instant, likely: Instant, until: Instant })
    .nullable()
    .describe('When the beer comes into its window; null if it is inside, or does not by then'),
  atHour: VolumesRange.describe('What it holds at the hour'),
  cautions: z.array(z.string()),
});
export type FillPlan = z.infer<typeof FillPlan>;

/** POST /plans */
export const PlanRequest = z.strictObject({
  kegId: KegId,
  fillAt: Instant,
  bottles: BottlesText,
  name: ShortText.optional().describe('What it is for; the beer’s name if left out'),
});
export type PlanRequest = z.infer<typeof PlanRequest>;

export const KeptPlan = z.object({
  planId: Id,
  kegId: z.string(),
  name: z.string(),
  fillAt: Instant,
  bottles: z.string(),
  madeAt: Instant,
  checkedAt: Instant.describe('When it was last worked out anew'),
  state: z.enum(['kept', 'over', 'cancelled']),
  /** What is otherwise than when it was last said, newest first. */
  changes: z.array(z.object({ at: Instant, says: z.string() })),
  plan: FillPlan,
});
export type KeptPlan = z.infer<typeof KeptPlan>;

export const Plans = z.object({
  plans: z.array(KeptPlan).describe('Those to come first'),
  calendarPath: z
    .string()
    .describe('Address of the calendar, below the one of this service. Whoever has it may read it'),
});
export type Plans = z.infer<typeof Plans>;

/** POST /plans/calendar: the old address is of no use from then on. */
export const PlanCalendar = z.object({ calendarPath: z.string() });
export type PlanCalendar = z.infer<typeof PlanCalendar>;
