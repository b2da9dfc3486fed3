import type { FastifyError, FastifyInstance, FastifyReply } from 'fastify';
import { hasZodFastifySchemaValidationErrors, isResponseSerializationError } from 'fastify-type-provider-zod';
import type { Outcome } from '../app/outcome.ts';
import { PROBLEM_TYPE_PREFIX, PROBLEMS, type Problem, type ProblemCode } from '../contract/index.ts';

/** Thrown by a route to answer with a problem. */
export class HttpProblem extends Error {
  readonly code: ProblemCode;
  readonly retryAfterS: number | undefined;

  constructor(code: ProblemCode, detail: string, retryAfterS?: number) {
    super(detail);
    this.name = 'HttpProblem';
    this.code = code;
    this.retryAfterS = retryAfterS;
  }
}

/** The value of an outcome; a refusal becomes the problem that is answered. */
export function granted<T>(outcome: Outcome<T>): T {
  if (outcome.ok) return outcome.value;
  throw new HttpProblem(outcome.code, outcome.detail, outcome.retryAfterS);
}

export function problem(code: ProblemCode, detail: string, errors?: Problem['errors']): Problem {
  const { status, title } = PROBLEMS[code];
  return { type: `${PROBLEM_TYPE_PREFIX}${code}`, title, status, detail, ...(errors === undefined ? {} : { errors }) };
}

/** Makes every error of the server an RFC 9457 answer. Our own mistakes are logged and told with a fixed sentence. */
export function answerMistakes(server: FastifyInstance, log: (error: Error, route: string) => void): void {
  server.setErrorHandler((error: FastifyError, request, reply) => {
    const told = toProblem(error);
    // A part that does not answer (503) is no mistake of ours; it is told by the health of the service.
    if (told.status === 500) log(error, `${request.method} ${request.routeOptions.url ?? request.url}`);
    if (error instanceof HttpProblem && error.retryAfterS !== undefined)
      void reply.header('retry-after', error.retryAfterS);
    return sendProblem(reply, told);
  });
}

export function sendProblem(reply: FastifyReply, told: Problem): FastifyReply {
  return reply.code(told.status).type('application/problem+json').serializer(JSON.stringify).send(told);
}

function toProblem(error: FastifyError): Problem {
  if (error instanceof HttpProblem) return problem(error.code, error.message);
  if (hasZodFastifySchemaValidationErrors(error)) {
    const errors = error.validation.map(({ instancePath, message }) => ({
      pointer: instancePath,
      detail: message ?? '',
    }));
    const told = errors.map(
      ({ pointer, detail }) => `${pointer.slice(1).replaceAll('/', '.') || error.validationContext}: ${detail}`,
    );
    return problem('body-invalid', told.join('; '), errors);
  }
  if (isResponseSerializationError(error))
    return problem('internal', 'The answer was not of its own form. This is our mistake.');
  switch (error.code) {
    case 'FST_ERR_CTP_BODY_TOO_LARGE':
      return problem('body-too-large', 'The body has more than 256 KiB.');
    case 'FST_ERR_CTP_INVALID_MEDIA_TYPE':
      return problem('media-type-unsupported', 'Send the body as application/json.');
  }
  if (error.statusCode !== undefined && error.statusCode < 500) return problem('body-invalid', error.message);
  return problem('internal', 'Something went wrong inside the service. Its log says more.');
}
