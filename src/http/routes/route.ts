import type { FastifyInstance, FastifyPluginCallback, RawServerDefault } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import type { Services } from '../../app/services.ts';
import { Problem } from '../../contract/index.ts';

export type Api = FastifyInstance<
  RawServerDefault,
  Parameters<FastifyPluginCallback>[0] extends FastifyInstance<RawServerDefault, infer Request> ? Request : never,
  Parameters<FastifyPluginCallback>[0] extends FastifyInstance<RawServerDefault, infer _R, infer Reply> ? Reply : never,
  Parameters<FastifyPluginCallback>[0] extends FastifyInstance<RawServerDefault, infer _R, infer _P, infer Logger>
    ? Logger
    : never,
  ZodTypeProvider
>;

/** Adds the routes of one matter. */
export type Routes = (api: Api, services: Services) => void;

/** Answers that any route may give besides its own. */
export const PROBLEM_ANSWERS = { '4xx': Problem, '5xx': Problem };

export const NO_CONTENT = z.null().describe('Done; nothing to say');
