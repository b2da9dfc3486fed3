import { z } from 'zod';
import { Episode } from './alert.ts';
import { KegState } from './state.ts';

/** Raised when a frame changes so that an older page would misread it; a page of another protocol reloads itself. */
export const LIVE_PROTOCOL = 1;

const Revision = z.number().int().nonnegative();

/** What the server sends. After `hello` and `snapshot` each frame carries the revision that it leads to. */
export const LiveFrame = z.discriminatedUnion('type', [
  z.object({ type: z.literal('hello'), protocol: z.literal(LIVE_PROTOCOL) }),
  z.object({
    type: z.literal('snapshot'),
    revision: Revision,
    at: z.string(),
    kegs: z.array(KegState),
    alerts: z.array(Episode),
  }),
  z.object({ type: z.literal('keg'), revision: Revision, state: KegState }),
  z.object({ type: z.literal('keg-gone'), revision: Revision, kegId: z.string() }),
  z.object({ type: z.literal('alert'), revision: Revision, episode: Episode }),
  z.object({ type: z.literal('beat'), revision: Revision, at: z.string() }),
  z.object({ type: z.literal('problem'), detail: z.string() }),
]);
export type LiveFrame = z.infer<typeof LiveFrame>;

/** What a client may send. */
export const LiveRequest = z.discriminatedUnion('type', [z.object({ type: z.literal('snapshot') })]);
export type LiveRequest = z.infer<typeof LiveRequest>;
