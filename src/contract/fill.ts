import { z } from 'zod';
import { Line } from './catalogue.ts';
import { Id, Instant, KegId } from './common.ts';
import { VerdictKind, VolumesRange } from './state.ts';

/** Ids that the client makes: any UUID, of whatever version. */
export const BottleId = z.guid('use a UUID, such as 3f2b8c1e-9a4d-4e6f-8b7a-1c2d3e4f5a6b').toLowerCase();

export const BottleNote = z.enum(['clean', 'foamy', 'gushed', 'spilled', 'under-filled']);
export type BottleNote = z.infer<typeof BottleNote>;
export const Destination = z.enum(['kept', 'competition', 'gift', 'party', 'drunk']);
export type Destination = z.infer<typeof Destination>;

export const SizeL = z.number().gt(0.01).max(20).describe('Size of the bottle in litres');
export const Remark = z.string().trim().max(500);
const BottlePlan = z.strictObject({ count: z.number().int().min(1).max(500), sizeL: SizeL });
const Planned = z.array(BottlePlan).max(12).describe('Bottles that are meant to be filled');
const LostL = z.number().min(0).max(100).describe('Beer that went elsewhere: line, foam, tote');
const TasteAfterDays = z
  .number()
  .int()
  .min(1)
  .max(730)
  .nullable()
  .describe('Days after the end at which bottles are asked to be tasted; null: never');

/** What is said of a fill besides its times. */
export const FillParticulars = z.strictObject({
  planned: Planned,
  line: Line.nullable(),
  lostL: LostL,
  remark: Remark.nullable(),
  tasteAfterDays: TasteAfterDays,
});

/** POST /fills. Repeated with the same `fillId` it changes nothing and answers the same. */
export const FillStart = z.strictObject({
  fillId: Id.optional().describe('Made by the client, so that the request may be repeated; else the service makes one'),
  kegId: KegId,
  startedAt: Instant.optional().describe('Now, if left out'),
  planned: Planned.optional(),
});
export type FillStart = z.infer<typeof FillStart>;

/** PATCH /fills/{fillId}: what is left out stays as it is. */
export const FillChange = z.strictObject({
  endedAt: Instant.nullable().optional().describe('When it was over; null: it goes on after all'),
  planned: Planned.optional(),
  lostL: LostL.optional(),
  remark: Remark.nullable().optional(),
  tasteAfterDays: TasteAfterDays.optional(),
});
export type FillChange = z.infer<typeof FillChange>;

export const Opinion = z.enum(['good', 'so-so', 'bad']);

/** PUT /fills/{fillId}/bottles/{bottleId}: what is left out stays as it is; a new bottle needs its size. */
export const BottleEntry = z.strictObject({
  sizeL: SizeL.optional(),
  note: BottleNote.optional().describe('A new bottle is clean, if left out'),
  remark: Remark.nullable().optional(),
  filledAt: Instant.optional().describe('Now, if left out'),
  destination: Destination.optional(),
  destinationText: Remark.nullable().optional().describe('Which competition, for whom'),
  tasting: z
    .strictObject({ at: Instant.optional(), text: Remark.min(1), opinion: Opinion.nullable().optional() })
    .nullable()
    .optional(),
});
export type BottleEntry = z.infer<typeof BottleEntry>;

/** What the keg was like at a moment, by the service's own record; null: not known then. */
export const FillConditions = z.object({
  at: Instant,
  beerTemperatureC: z.number().nullable(),
  headspaceKpaGauge: z.number().nullable(),
  dissolved: VolumesRange.nullable(),
  verdict: VerdictKind.nullable(),
});
export type FillConditions = z.infer<typeof FillConditions>;

export const FilledBottle = z.object({
  bottleId: z.string(),
  number: z.number().int().describe('Running number within the fill; never changes'),
  sizeL: z.number(),
  note: BottleNote,
  remark: z.string().nullable(),
  filledAt: Instant,
  conditions: FillConditions.nullable().describe('Null: not looked up yet'),
  destination: Destination,
  destinationText: z.string().nullable(),
  tasting: z.object({ at: Instant, text: z.string(), opinion: Opinion.nullable() }).nullable(),
});
export type FilledBottle = z.infer<typeof FilledBottle>;

/** A fill as lists show it. */
export const FillSummary = z.object({
  fillId: z.string(),
  kegId: z.string(),
  batchId: z.string().nullable(),
  batchName: z.string().nullable(),
  startedAt: Instant,
  endedAt: Instant.nullable(),
  planned: z.array(z.object({ count: z.number(), sizeL: z.number() })),
  line: Line.nullable().describe('The line of then'),
  restHours: z.number().nullable().describe('Hours at rest before it began; null: not known'),
  beerAtStartL: z.number().nullable().describe('Beer in the keg before the first bottle; null: not known'),
  drawnL: z.number().describe('All bottles, and what was lost'),
  lostL: z.number(),
  remark: z.string().nullable(),
  tasteAfterDays: z.number().nullable(),
  bottleCount: z.number().int(),
  notes: z.record(BottleNote, z.number().int()).describe('Bottles by how they went'),
});
export type FillSummary = z.infer<typeof FillSummary>;
/** How to keep bottles, and what becomes of the keg. */
export const Afterwards = z.object({
  fillId: z.string(),
  drinkBy: Instant.nullable().describe('Null while the fill goes on'),
  storing: z.array(
    z.object({ text: z.string(), source: z.string().nullable().describe('Null: common practice, no source') }),
  ),
  inBottle: VolumesRange.nullable().describe(
    'What the beer holds in the bottle: as in the keg, less 5.5 % lost in a gentle pour (one lager into a glass); null: not known',
  ),
  pressures: z
    .array(z.object({ celsius: z.number(), kpaGauge: z.number() }))
    .describe('Pressure in a bottle when it gets that warm'),
  conditioning: z
    .object({
      wishedVolumes: z.number(),
      sugar: z.enum(['sucrose', 'dextrose', 'dextrose-monohydrate']),
      gramsPerL: z.number(),
      roomKpaGauge: z.number().nullable().describe('Pressure in a bottle at room temperature once it has worked'),
    })
    .nullable()
    .describe('Sugar for bottles that are to keep longer; null: not known what the beer holds'),
  keg: z.object({
    remainingL: z.number().nullable(),
    servingKpaGauge: z.number().nullable().describe('Setting that holds the keg where it is; null: none can be told'),
    advice: z.string(),
  }),
  cautions: z.array(z.string()),
});
export type Afterwards = z.infer<typeof Afterwards>;

/** GET /tastings: bottles that somebody is to taste, the earliest first. */
export const TastingList = z.object({
  tastings: z.array(
    z.object({
      fillId: z.string(),
      bottleId: z.string(),
      number: z.number().int(),
      kegId: z.string(),
      batchName: z.string().nullable(),
      filledAt: Instant,
      dueAt: Instant,
      due: z.boolean().describe('True once its day has come'),
    }),
  ),
});
export type TastingList = z.infer<typeof TastingList>;

export const FillList = z.object({ fills: z.array(FillSummary) });

export const Fill = FillSummary.extend({ bottles: z.array(FilledBottle) });
export type Fill = z.infer<typeof Fill>;
