import { z } from 'zod';
import { Id, Instant, ShortText } from './common.ts';

const kpaGauge = z.number().min(-100).max(2000);
const temperatureC = z.number().min(-10).max(60);
const litres = z.number().min(0).max(1000);

/** What starts a batch, besides its description. */
export const FillFacts = z.strictObject({
  totalLitres: z.number().min(0.5).max(1000).describe('Brim-full volume of the keg'),
  beerLitres: litres.describe('Beer in it'),
  diameterMetres: z.number().min(0.05).max(2).optional(),
  beerCelsius: temperatureC.optional(),
  fermentedAtCelsius: temperatureC.optional(),
  beerState: z.enum(['flat', 'carbonated', 'priming', 'unknown']).default('unknown'),
  onGasSince: Instant.optional(),
  altitudeMetres: z.number().min(-500).max(9000).optional(),
  probe: z.enum(['thermowell', 'wall', 'air']).default('wall'),
});

/** Fields of each kind of event, besides `kind` and `at` (design: what the brewer did). */
const BODIES = {
  'keg-filled': FillFacts.shape,
  'keg-emptied': {},
  'target-set': {
    volumes: z.number().min(0.5).max(5),
    tolerance: z.number().min(0.1).max(2),
    celsius: z.number().min(-5).max(20).optional().describe('Wished fill temperature'),
  },
  'fridge-set': { celsius: temperatureC },
  'regulator-set': { kpaGauge },
  'cylinder-changed': {},
  'headspace-purged': { times: z.number().int().min(0).max(50), kpaGauge: kpaGauge.optional() },
  'gas-opened': {},
  'gas-closed': {},
  'keg-vented': {},
  'keg-moved': {},
  'keg-shaken': { seconds: z.number().min(0).max(3600) },
  'beer-drawn': { litres: z.number().gt(0).max(1000) },
  'diffusion-stone-started': {},
  'gas-check-started': { shaken: z.boolean().optional() },
  'gas-check-ended': {},
  'keg-weighed': { kg: z.number().gt(0).max(2000), plusMinusKg: z.number().gt(0).max(100).optional() },
  'sample-measured': { volumes: z.number().min(0).max(10), plusMinus: z.number().gt(0).max(5) },
  'probe-zeroed': {},
  'line-cleaned': {},
  'bottles-chilled': {},
  'fill-started': {},
  'fill-ended': {},
  note: { text: z.string().trim().min(1).max(2000) },
} as const;

export type EventKind = keyof typeof BODIES;
export const EVENT_KINDS = Object.keys(BODIES) as readonly EventKind[];

/** Kinds that may name a place or a supply instead of a keg and then hold for all its kegs. */
export const SHARED_KINDS: readonly EventKind[] = ['fridge-set', 'regulator-set', 'cylinder-changed'];

const common = { at: Instant, place: Id.optional(), supply: Id.optional() };

function entry<K extends EventKind>(kind: K) {
  return z.strictObject({ kind: z.literal(kind), ...common, ...(BODIES[kind] as (typeof BODIES)[K]) });
}

/** POST /kegs/{kegId}/events and PUT …/{eventId}. */
export const EventEntry = z
  .discriminatedUnion('kind', [
    entry('keg-filled'),
    entry('keg-emptied'),
    entry('target-set'),
    entry('fridge-set'),
    entry('regulator-set'),
    entry('cylinder-changed'),
    entry('headspace-purged'),
    entry('gas-opened'),
    entry('gas-closed'),
    entry('keg-vented'),
    entry('keg-moved'),
    entry('keg-shaken'),
    entry('beer-drawn'),
    entry('diffusion-stone-started'),
    entry('gas-check-started'),
    entry('gas-check-ended'),
    entry('keg-weighed'),
    entry('sample-measured'),
    entry('probe-zeroed'),
    entry('line-cleaned'),
    entry('bottles-chilled'),
    entry('fill-started'),
    entry('fill-ended'),
    entry('note'),
  ])
  .refine((event) => (event.place === undefined && event.supply === undefined) || SHARED_KINDS.includes(event.kind), {
    message: `only ${SHARED_KINDS.join(', ')} may name a place or a supply`,
  });
export type EventEntry = z.infer<typeof EventEntry>;

/** A kept event: the entry's fields, its id, and what it is about. */
export const KeptEvent = z.looseObject({
  eventId: z.string(),
  kind: z.enum(EVENT_KINDS as [EventKind, ...EventKind[]]),
  at: Instant,
  enteredAt: Instant,
  kegId: z.string().nullable(),
  place: z.string().optional(),
  supply: z.string().optional(),
});
export type KeptEvent = z.infer<typeof KeptEvent>;
export const EventList = z.object({ events: z.array(KeptEvent) });

/** POST /kegs/{kegId}/batch: a filling with the description of the beer. */
export const BatchStart = z.strictObject({
  at: Instant.optional().describe('When the keg was filled; now, if left out'),
  ...FillFacts.shape,
  totalLitres: FillFacts.shape.totalLitres.optional().describe('Left out: the keg’s capacity'),
  beerLitres: FillFacts.shape.beerLitres.optional().describe('Left out: 97 % of the total'),
  name: ShortText,
  style: ShortText.nullable().optional(),
  abvPercent: z.number().min(0).max(20).nullable().optional(),
  originalExtractPlato: z.number().min(0).max(50).nullable().optional(),
  brewId: Id.nullable().optional(),
});
export type BatchStart = z.infer<typeof BatchStart>;
