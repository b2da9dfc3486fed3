import { z } from 'zod';

/** Plain words for the mistakes that people make; zod's own for the rest. */
z.config({
  customError: (issue) => {
    if (issue.code === 'too_big' && issue.origin === 'number')
      return `must be ${issue.inclusive === false ? 'less than' : 'at most'} ${issue.maximum}`;
    if (issue.code === 'too_small' && issue.origin === 'number')
      return `must be ${issue.inclusive === false ? 'more than' : 'at least'} ${issue.minimum}`;
    if (issue.code === 'invalid_type' && issue.input === undefined) return 'is missing';
    if (issue.code === 'invalid_type') return `must be a ${issue.expected}`;
    if (issue.code === 'unrecognized_keys') return `knows nothing called ${issue.keys.join(', ')}`;
    return undefined;
  },
});

/** Ids of kegs, places, supplies, batches and brews: they stand in topics and addresses. */
export const ID_PATTERN = /^[a-z0-9][a-z0-9-]{0,62}$/;
const RESERVED_KEG_IDS: readonly string[] = ['place', 'gas', 'site'];

const ID_RULE = 'use 1 to 63 of a-z, 0-9 and -, beginning with a letter or digit';
export const Id = z.string().regex(ID_PATTERN, ID_RULE);
/** Ids of entries: those that follow from a fill hold its id and a word more. */
export const EventId = z.string().regex(/^[a-z0-9][a-z0-9-]{0,79}$/, 'use 1 to 80 of a-z, 0-9 and -');
export const KegId = Id.refine((id) => !RESERVED_KEG_IDS.includes(id), {
  message: 'place, gas and site are no keg ids: topics use these words for other things',
});
/** Probe ids: those of default topics contain dots (`one.beer-temperature`). */
export const ProbeId = z.string().regex(/^[a-z0-9][a-z0-9.-]{0,199}$/, 'use a-z, 0-9, dot and -, at most 200');

/** RFC 3339 with any offset on the way in, always UTC with milliseconds on the way out. */
export const Instant = z.iso
  .datetime({ offset: true, error: 'give a time such as 2026-03-01T18:30:00Z (RFC 3339)' })
  .describe('RFC 3339 time');

export const ShortText = z.string().trim().min(1).max(120);

export const QUANTITIES = [
  'beer-temperature',
  'air-temperature',
  'bottle-temperature',
  'headspace-pressure',
  'regulator-pressure',
  'purge-pressure',
  'cylinder-pressure',
  'ambient-pressure',
  'keg-mass',
  'cylinder-mass',
  'room-co2',
  'beer-flow',
] as const;
export const Quantity = z.enum(QUANTITIES);

/** UCUM codes accepted on the wire. */
export const UNITS = [
  'Cel',
  'K',
  '[degF]',
  'Pa',
  'kPa',
  'bar',
  'mbar',
  '[psi]',
  'g',
  'kg',
  '[lb_av]',
  '[ppm]',
  'L',
  'mL',
] as const;
export const Unit = z.enum(UNITS);

/** Why nothing rests on what a probe says, though it may say something. */
export const Amiss = z
  .object({
    kind: z.enum(['offline', 'stuck']),
    since: Instant.nullable().describe('Null: since before we listened'),
  })
  .describe('offline: its device says so; stuck: it repeats one value that cannot be so steady');
export type Amiss = z.infer<typeof Amiss>;
