import { z } from 'zod';
import { BatchDescription, Keg, Place, ProbeSetting, Supply } from './catalogue.ts';
import { EventId, Id, Instant, KegId, ProbeId, Quantity } from './common.ts';
import { EventEntry } from './event.ts';
import { TransferFillLine } from './fill-transfer.ts';
import { ReplayReading } from './replay.ts';

/** Why a reading carries its time: the message's own, that of receipt, or that of receipt because its own was not believed. */
export const TimeFrom = z.enum(['device', 'receipt', 'receipt-device-refused']);

/** What was measured and when it came in; what a replay leaves aside, an import keeps. */
const origin = {
  probe: ProbeId.optional().describe('The probe, if it is not the usual one of its kind'),
  received: Instant.optional().describe('When it was received'),
  timeFrom: TimeFrom.optional(),
};

/** A line of readings.jsonl as an export writes it and an import reads it. */
export const TransferReading = ReplayReading.extend(origin);
export type TransferReading = z.infer<typeof TransferReading>;

/** keg.json beside the two files of a replay folder: whose they are. */
export const KegAbout = z
  .object({
    format: z.literal(1, 'this folder was written by a newer version; update Quietkeg'),
    keg: Keg.omit({ batchId: true }),
    place: Place,
    supply: Supply,
    altitudeM: z.number().min(-500).max(9000).nullable().describe('Of the site; null: nobody has set it'),
    batches: z
      .array(z.strictObject({ batchId: Id, ...BatchDescription.required().shape }))
      .max(10_000)
      .describe('What was filled; a batch has the id of its filling'),
    probes: z.array(z.strictObject({ probeId: ProbeId, ...ProbeSetting.shape })).max(1000),
  })
  .refine(({ keg, place, supply }) => keg.placeId === place.placeId && keg.supplyId === supply.supplyId, {
    message: 'place and supply must be those that keg names',
  });
export type KegAbout = z.infer<typeof KegAbout>;

/** An entry of an import. Without an id of its own, the same entry twice counts once. */
export const ImportEvent = z.strictObject({
  keg: KegId,
  eventId: EventId.optional(),
  enteredAt: Instant.optional(),
  entry: EventEntry,
});
export type ImportEvent = z.infer<typeof ImportEvent>;

export const ImportReading = z.strictObject({
  t: Instant,
  keg: KegId,
  kind: Quantity,
  value: z.number(),
  unit: z.string().max(20).optional(),
  ...origin,
});
export type ImportReading = z.infer<typeof ImportReading>;

/** Readings of one portion: enough to write them well, few enough that live messages hardly wait. */
export const PORTION_READINGS_MAX = 1000;
export const PORTION_EVENTS_MAX = 1000;
/** Bottles, and plans, of one portion: as many bytes as a body may have at the most. */
export const PORTION_BOTTLES_MAX = 500;
export const PORTION_PLANS_MAX = 5;

/** POST /import: a part of the past. Sending the same again changes nothing. */
export const ImportPortion = z.strictObject({
  about: KegAbout.optional(),
  events: z.array(ImportEvent).max(PORTION_EVENTS_MAX).default([]),
  fills: z
    .array(TransferFillLine)
    .max(PORTION_BOTTLES_MAX)
    .default([])
    .describe('Fills, each before its bottles, and kept plans'),
  readings: z.array(ImportReading).max(PORTION_READINGS_MAX).default([]),
});
export type ImportPortion = z.infer<typeof ImportPortion>;

const Refused = z.object({ index: z.number().int(), reason: z.string() });

/** What became of a portion; `index` counts from 0 in the portion. What is here already stays as it is. */
export const ImportOutcome = z.object({
  readings: z.object({ stored: z.number().int(), duplicates: z.number().int(), refused: z.array(Refused) }),
  events: z.object({ added: z.number().int(), known: z.number().int(), refused: z.array(Refused) }),
  fills: z
    .object({ added: z.number().int(), known: z.number().int(), refused: z.array(Refused) })
    .describe('Fills, bottles and plans'),
});
export type ImportOutcome = z.infer<typeof ImportOutcome>;

export const ExportQuery = z.object({ format: z.enum(['csv', 'ndjson']).default('ndjson') });
