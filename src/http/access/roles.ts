import { mayDo } from '../../app/access.ts';
import type { AccessRole, LiveRequest } from '../../contract/index.ts';

type Role = AccessRole;
/** What a route needs: nothing, or at least this role. */
export type Needed = 'public' | Role;

/**
 * Every route and who may use it. A route that stands here in no line is for the owner alone, and a test fails until it has one.
 */
export const ROUTE_ROLES: Readonly<Record<string, Needed>> = {
  'GET /health/live': 'public',
  'GET /health/ready': 'public',
  'GET /metrics': 'viewer',
  // People open these from a message and cannot log in there: a signed token in the address is held against our key.
  'GET /acknowledge/:token': 'public',
  'POST /acknowledge/:token': 'public',
  'POST /api/v1/acknowledge-links/renewal': 'owner',
  // The door itself.
  'GET /api/v1/access': 'public',
  'POST /api/v1/access/claim': 'public',
  'POST /api/v1/session': 'public',
  'DELETE /api/v1/session': 'public',
  'POST /api/v1/session/device': 'public',
  'GET /api/v1/sessions': 'owner',
  'DELETE /api/v1/sessions/:sessionId': 'owner',
  'POST /api/v1/devices': 'owner',
  'POST /api/v1/programs': 'owner',
  'PUT /api/v1/passphrases/:role': 'owner',
  'DELETE /api/v1/passphrases/:role': 'owner',
  // Looking.
  'GET /api/v1/openapi.json': 'viewer',
  'GET /api/v1/live': 'viewer',
  'GET /api/v1/site': 'viewer',
  'GET /api/v1/places': 'viewer',
  'GET /api/v1/supplies': 'viewer',
  'GET /api/v1/kegs': 'viewer',
  'GET /api/v1/kegs/:kegId': 'viewer',
  'GET /api/v1/kegs/:kegId/state': 'viewer',
  'GET /api/v1/kegs/:kegId/curve': 'viewer',
  'GET /api/v1/kegs/:kegId/events': 'viewer',
  'GET /api/v1/kegs/:kegId/gas-check': 'viewer',
  'GET /api/v1/kegs/:kegId/learning': 'viewer',
  'GET /api/v1/kegs/:kegId/plan': 'viewer',
  'GET /api/v1/plans': 'viewer',
  // Calendars cannot log in: a key in the address is held against the one that is kept.
  'GET /api/v1/plans.ics': 'public',
  'GET /api/v1/fills': 'viewer',
  'GET /api/v1/fills/:fillId': 'viewer',
  'GET /api/v1/fills/:fillId/afterwards': 'viewer',
  'GET /api/v1/tastings': 'viewer',
  'GET /api/v1/clean-fills': 'viewer',
  'GET /api/v1/batches/:batchId/ready-times': 'viewer',
  'GET /api/v1/batches': 'viewer',
  'GET /api/v1/batches/:batchId': 'viewer',
  'GET /api/v1/batches/:batchId/curve': 'viewer',
  'GET /api/v1/batches/:batchId/export': 'viewer',
  'GET /api/v1/probes': 'viewer',
  'GET /api/v1/rejections': 'viewer',
  'GET /api/v1/alerts': 'viewer',
  'GET /api/v1/alerts/health': 'viewer',
  'GET /api/v1/rules': 'viewer',
  'GET /api/v1/delivery': 'viewer',
  'GET /api/v1/push-key': 'viewer',
  'POST /api/v1/calculate': 'viewer',
  'POST /api/v1/what-if': 'viewer',
  // What is done with the kegs day by day.
  'POST /api/v1/kegs/:kegId/events': 'operator',
  'PUT /api/v1/kegs/:kegId/events/:eventId': 'operator',
  'DELETE /api/v1/kegs/:kegId/events/:eventId': 'operator',
  'POST /api/v1/kegs/:kegId/batch': 'operator',
  'PATCH /api/v1/batches/:batchId': 'operator',
  'POST /api/v1/alerts/:id/acknowledgement': 'operator',
  'POST /api/v1/alerts/:id/mute': 'operator',
  'DELETE /api/v1/alerts/:id/mute': 'operator',
  'POST /api/v1/rules/:rule/try': 'operator',
  'POST /api/v1/plans': 'operator',
  'POST /api/v1/fills': 'operator',
  'PATCH /api/v1/fills/:fillId': 'operator',
  'PUT /api/v1/fills/:fillId/bottles/:bottleId': 'operator',
  'DELETE /api/v1/fills/:fillId/bottles/:bottleId': 'operator',
  'DELETE /api/v1/plans/:planId': 'operator',
  'POST /api/v1/plans/calendar': 'owner',
  // How everything is set up, and who is told.
  'PUT /api/v1/site': 'owner',
  'PUT /api/v1/places/:id': 'owner',
  'DELETE /api/v1/places/:id': 'owner',
  'PUT /api/v1/supplies/:id': 'owner',
  'DELETE /api/v1/supplies/:id': 'owner',
  'PUT /api/v1/kegs/:kegId': 'owner',
  'DELETE /api/v1/kegs/:kegId': 'owner',
  'DELETE /api/v1/kegs/:kegId/learning': 'owner',
  'PUT /api/v1/probes/:probeId': 'owner',
  'DELETE /api/v1/probes/:probeId': 'owner',
  'PUT /api/v1/rules/:rule': 'owner',
  'POST /api/v1/import': 'owner',
  // These show addresses of people, and where messages go.
  'GET /api/v1/channels': 'owner',
  'PUT /api/v1/channels': 'owner',
  'POST /api/v1/channels/:id/test': 'owner',
  'GET /api/v1/people': 'owner',
  'PUT /api/v1/people/:id': 'owner',
  'DELETE /api/v1/people/:id': 'owner',
  'PUT /api/v1/people/:id/browsers': 'owner',
  'DELETE /api/v1/people/:id/browsers/:subscriptionId': 'owner',
};

/** What a page may send over the live socket, and who. */
export const LIVE_ROLES: Readonly<Record<LiveRequest['type'], Role>> = { snapshot: 'viewer' };

/** What a route needs. `HEAD` is a `GET` without its answer. */
export function neededFor(method: string, route: string): Needed {
  return ROUTE_ROLES[`${method === 'HEAD' ? 'GET' : method} ${route}`] ?? 'owner';
}

export function isEnough(role: Role, needed: Needed): boolean {
  return needed === 'public' || mayDo(role, needed);
}

/** For sentences to people. */
export const ROLE_WORDS: Readonly<Record<Role, string>> = {
  viewer: 'anybody who is logged in',
  operator: 'those who enter what is done with the kegs',
  owner: 'the owner',
};
