import { z } from 'zod';
import { Amiss, Id, Instant, KegId, ProbeId, Quantity, ShortText, Unit } from './common.ts';

const AltitudeM = z.number().min(-500).max(9000).describe('Metres above sea level');

export const Units = z.object({
  temperature: z.enum(['Cel', '[degF]']),
  pressure: z.enum(['bar', '[psi]', 'kPa']),
  carbonation: z.enum(['volumes', 'g/L']),
  volume: z.enum(['L', '[gal_us]']),
});
export type Units = z.infer<typeof Units>;

export const Line = z.object({
  boreMm: z.number().min(1).max(50),
  lengthM: z.number().min(0).max(100),
  liftM: z.number().min(-20).max(20),
});

export const Site = z.object({
  altitudeM: AltitudeM,
  altitudeAssumed: z.boolean().describe('True until somebody set the altitude'),
  timeZone: z.string().describe('IANA name, such as Europe/Vienna'),
  line: Line.nullable(),
  units: Units,
});
export type Site = z.infer<typeof Site>;

/** PUT /site: what is left out stays as it is. */
export const SiteChange = z.strictObject({
  altitudeM: AltitudeM.optional(),
  timeZone: z.string().max(64).optional(),
  line: z.strictObject(Line.shape).nullable().optional(),
  units: z.strictObject(Units.shape).partial().optional(),
});

export const Place = z.object({ placeId: Id, name: z.string() });
export const PlaceChange = z.strictObject({ name: ShortText });
export const PlaceList = z.object({ places: z.array(Place) });
export type Place = z.infer<typeof Place>;

const Co2Ratio = z
  .number()
  .min(0.01)
  .max(1)
  .nullable()
  .describe('Share of CO2 in the gas; 1 for pure CO2; null for a mixed gas of unknown share');

export const Supply = z.object({
  supplyId: Id,
  name: z.string(),
  co2Ratio: Co2Ratio,
  cylinderKg: z.number().positive().max(2000).nullable().describe('CO2 in a full cylinder; null for a bulk line'),
});
export const SupplyChange = z.strictObject({
  name: ShortText.optional(),
  co2Ratio: Co2Ratio.optional(),
  cylinderKg: Supply.shape.cylinderKg.optional(),
});
export const SupplyList = z.object({ supplies: z.array(Supply) });
export type Supply = z.infer<typeof Supply>;

export const Keg = z.object({
  kegId: KegId,
  name: z.string(),
  capacityL: z.number().min(1).max(1000),
  diameterMetres: z.number().min(0.05).max(2).nullable(),
  workingKpaGaugeMax: z.number().min(50).max(2000).nullable(),
  placeId: Id,
  supplyId: Id,
  batchId: z.string().nullable().describe('The open batch, or null'),
});
export type Keg = z.infer<typeof Keg>;

/** PUT /kegs/{kegId}: a new keg gets what is left out from the defaults, a known one keeps it. */
export const KegChange = z.strictObject({
  name: ShortText.optional(),
  capacityL: Keg.shape.capacityL.optional(),
  diameterMetres: Keg.shape.diameterMetres.optional(),
  workingKpaGaugeMax: Keg.shape.workingKpaGaugeMax.optional(),
  placeId: Id.optional(),
  supplyId: Id.optional(),
});

/** A keg heard by MQTT that is not in the catalogue yet. Its readings are kept. */
export const Suggestion = z.object({
  kegId: z.string(),
  firstHeardAt: Instant,
  lastHeardAt: Instant,
  quantities: z.array(Quantity),
});
export const KegList = z.object({ kegs: z.array(Keg), suggestions: z.array(Suggestion) });

const litres = z.number().min(0).max(100);
const kpaGauge = z.number().min(0).max(400);

/** Limits of a batch's verdict. The usual ones are common practice for filling from the keg. */
export const VerdictLimits = z.strictObject({
  coldMarginC: z.number().min(0).max(3).describe('How far above the wished fill temperature still counts as cold; 0.2'),
  servingKpaLow: kpaGauge.describe('Lowest serving pressure, gauge; 55'),
  servingKpaHigh: kpaGauge.describe('Highest serving pressure, gauge; 83'),
  steadyKpa: z.number().gt(0).max(50).describe('Greatest change of pressure within half an hour; 5'),
  steadyC: z.number().gt(0).max(10).describe('Greatest change of temperature within half an hour; 1'),
  restHours: z.number().min(0).max(168).describe('Hours of rest after moving, shaking or venting; 12'),
  aheadHours: z.number().min(0).max(168).describe('Hours for which the beer must stay inside its window; 12'),
  purgeKpaLow: kpaGauge.describe('Lowest pressure for purging bottles, gauge; 90'),
  purgeKpaHigh: kpaGauge.describe('Highest pressure for purging bottles, gauge; 117'),
  bottlesC: z.number().min(-5).max(40).describe('The warmest that bottles should be; 4'),
  beerLitres: litres.describe('Beer left below which somebody should know; 1'),
  gasKg: litres.describe('CO2 left below which somebody should know; 0.3'),
});
const SetLimits = VerdictLimits.partial()
  .refine(({ servingKpaLow = 55, servingKpaHigh = 83 }) => servingKpaLow < servingKpaHigh, {
    message: 'must be above servingKpaLow',
    path: ['servingKpaHigh'],
  })
  .refine(({ purgeKpaLow = 90, purgeKpaHigh = 117 }) => purgeKpaLow < purgeKpaHigh, {
    message: 'must be above purgeKpaLow',
    path: ['purgeKpaHigh'],
  });

export const Batch = z.object({
  batchId: z.string(),
  kegId: z.string(),
  brewId: z.string().nullable(),
  name: z.string(),
  style: z.string().nullable(),
  abvPercent: z.number().nullable(),
  originalExtractPlato: z.number().nullable(),
  beganAt: Instant,
  endedAt: Instant.nullable(),
  limits: SetLimits.describe('Limits of its verdict that were set; the others are the usual ones'),
});
export const BatchList = z.object({ batches: z.array(Batch) });
export type Batch = z.infer<typeof Batch>;

export const BatchDescription = z.strictObject({
  name: ShortText.optional(),
  style: ShortText.nullable().optional(),
  abvPercent: z.number().min(0).max(20).nullable().optional(),
  originalExtractPlato: z.number().min(0).max(50).nullable().optional(),
  brewId: Id.nullable().optional(),
  limits: SetLimits.optional().describe('All limits that are to differ from the usual ones'),
});

export const Calibration = z.strictObject({
  from: Instant.describe('Holds from here on, until the next one'),
  offset: z.number().min(-1e5).max(1e5).describe('Added after the gain, in the quantity’s base unit'),
  gain: z.number().min(0.001).max(10).default(1),
});

const Subject = z
  .string()
  .regex(/^(site|(place\/|gas\/)?[a-z0-9][a-z0-9-]{0,62})$/, 'a keg id, place/<id>, gas/<id> or site')
  .describe('What the probe measures: a keg id, place/<placeId>, gas/<supplyId> or site');

const WholeTopic = z
  .string()
  .min(1)
  .max(500)
  .refine((topic) => !/[+#\0]/.test(topic), 'give one whole topic, without + or #');

const Word = z.string().trim().min(1).max(100).nullable().default(null);

/** Where a device says whether it is there, usually retained and by its last will. */
export const Availability = z.strictObject({
  topic: WholeTopic,
  online: Word.describe('Payload that says that it is there; null: online or true'),
  offline: Word.describe('Payload that says that it is not; null: offline or false'),
});

export const ProbeSetting = z.strictObject({
  topic: WholeTopic,
  pointer: z
    .string()
    .regex(/^(\/([^~/]|~[01])*)*$/, 'an RFC 6901 JSON Pointer, such as /sensors/0/value')
    .nullable()
    .default(null),
  unit: Unit.nullable().default(null).describe('Unit of values that name none; null: the quantity’s default'),
  quantity: Quantity,
  of: Subject,
  reference: z
    .enum(['gauge', 'absolute'])
    .nullable()
    .default(null)
    .describe('For pressures; null: the quantity’s default'),
  place: z
    .enum(['thermowell', 'wall', 'air'])
    .nullable()
    .default(null)
    .describe('For temperatures: where the probe sits'),
  timeUnit: z.enum(['s', 'ms']).nullable().default(null).describe('For numeric times; null: told by their size'),
  availability: Availability.nullable()
    .default(null)
    .describe('While it says offline, nothing rests on what the probe said; null: not listened to'),
  calibration: z.array(Calibration).max(100).default([]),
});

export const Probe = z.object({
  ...ProbeSetting.shape,
  probeId: ProbeId,
  lastHeardAt: Instant.nullable(),
  lastValue: z.number().nullable().describe('Calibrated, in `lastUnit`'),
  lastUnit: z.string(),
  state: z.enum(['fresh', 'late', 'stale']),
  ageMs: z.number().int().nonnegative().nullable(),
  usualIntervalMs: z.number().int().positive().nullable(),
  device: z.enum(['online', 'offline']).nullable().describe('What its device said last on the topic of `availability`'),
  amiss: Amiss.nullable(),
  doubted: z
    .object({ value: z.number().describe('Calibrated, in `lastUnit`'), at: Instant })
    .nullable()
    .describe('A jump that nothing makes so fast: kept, but used only once three in a row agree'),
});
export const HeardTopic = z.object({
  topic: z.string(),
  sample: z.string().describe('First bytes of the last payload'),
  lastHeardAt: Instant,
  messages: z.number().int(),
});
export const ProbeList = z.object({ probes: z.array(Probe), heard: z.array(HeardTopic) });
export type Probe = z.infer<typeof Probe>;
export type HeardTopic = z.infer<typeof HeardTopic>;

export const Rejection = z.object({
  topic: z.string(),
  at: Instant,
  reason: z.string(),
  sample: z.string().describe('First bytes of the payload'),
});
export const RejectionList = z.object({ count: z.number().int(), rejections: z.array(Rejection) });
export type Rejection = z.infer<typeof Rejection>;

export type SiteChange = z.infer<typeof SiteChange>;
export type PlaceChange = z.infer<typeof PlaceChange>;
export type SupplyChange = z.infer<typeof SupplyChange>;
export type KegChange = z.infer<typeof KegChange>;
export type BatchDescription = z.infer<typeof BatchDescription>;
export type ProbeSetting = z.infer<typeof ProbeSetting>;
