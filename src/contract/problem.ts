import { z } from 'zod';

/** Every error the API answers with: its stable code, status and title. Codes are never reused for another meaning. */
export const PROBLEMS = {
  'body-invalid': { status: 400, title: 'The request is not of the expected form' },
  'log-in-needed': { status: 401, title: 'Nobody is logged in here' },
  'passphrase-wrong': { status: 403, title: 'This is not the passphrase' },
  'token-wrong': { status: 403, title: 'The token is not, or no longer, valid' },
  'not-allowed': { status: 403, title: 'Your role does not allow this' },
  'foreign-page': { status: 403, title: 'The request comes from a page elsewhere' },
  'session-unknown': { status: 404, title: 'There is no such session' },
  'already-claimed': { status: 409, title: 'A passphrase is set already' },
  'host-unknown': { status: 421, title: 'This service is not known by that name' },
  'too-many-tries': { status: 429, title: 'Too many tries' },
  'too-many-requests': { status: 429, title: 'Too many requests' },
  'too-many-pages': { status: 503, title: 'Too many pages are open' },
  'calculation-refused': { status: 422, title: 'These values cannot be calculated with' },
  'event-misplaced': { status: 400, title: 'The event does not fit what it is about' },
  'keg-unknown': { status: 404, title: 'There is no keg of this id' },
  'place-unknown': { status: 404, title: 'There is no place of this id' },
  'supply-unknown': { status: 404, title: 'There is no gas supply of this id' },
  'batch-unknown': { status: 404, title: 'There is no batch of this id' },
  'probe-unknown': { status: 404, title: 'There is no probe of this id' },
  'event-unknown': { status: 404, title: 'There is no event of this id' },
  'alert-unknown': { status: 404, title: 'There is no alert of this id' },
  'channel-unknown': { status: 404, title: 'There is no channel of this id' },
  'person-unknown': { status: 404, title: 'There is no such person' },
  'rule-unknown': { status: 404, title: 'There is no rule of this name' },
  'plan-unknown': { status: 404, title: 'There is no plan of this id' },
  'calendar-unknown': { status: 404, title: 'There is no calendar at this address' },
  'fill-unknown': { status: 404, title: 'There is no fill of this id' },
  'bottle-unknown': { status: 404, title: 'There is no bottle of this id in the fill' },
  'address-unknown': { status: 404, title: 'There is nothing at this address' },
  'method-not-allowed': { status: 405, title: 'This address does not take this method' },
  'still-in-use': { status: 409, title: 'Something else still refers to it' },
  'estimate-missing': { status: 409, title: 'What the beer of this keg holds cannot be told yet' },
  'batch-open': { status: 409, title: 'The keg holds another batch at that time' },
  'fill-open': { status: 409, title: 'Bottles are being filled from this keg already' },
  'bottle-removed': { status: 409, title: 'This bottle was taken back' },
  'probe-conflict': { status: 409, title: 'Another probe reads the same value already' },
  'plan-refused': { status: 409, title: 'This cannot be planned' },
  'limit-reached': { status: 409, title: 'There are as many of these as the service keeps' },
  'body-too-large': { status: 413, title: 'The request is too large' },
  'media-type-unsupported': { status: 415, title: 'The request must be JSON' },
  'not-ready': { status: 503, title: 'The service is starting or stopping' },
  'store-unavailable': { status: 503, title: 'The reading store does not answer' },
  internal: { status: 500, title: 'The service made a mistake' },
} as const satisfies Record<string, { status: number; title: string }>;
export type ProblemCode = keyof typeof PROBLEMS;

export const PROBLEM_TYPE_PREFIX = 'urn:quietkeg:problem:';

/** RFC 9457 problem details, `application/problem+json`. */
export const Problem = z.object({
  type: z.string().describe(`${PROBLEM_TYPE_PREFIX} and a stable code`),
  title: z.string(),
  status: z.number().int(),
  detail: z.string().describe('What was wrong, where, and what to do'),
  errors: z.array(z.object({ pointer: z.string(), detail: z.string() })).optional(),
});
export type Problem = z.infer<typeof Problem>;
