/**
 * The least role that each route needs, in one table. A route that is not in it keeps the server
 * from starting, so that none is ever open by oversight.
 */
import type { Role } from '../roles.ts';

/** `anybody`: also who has not signed in, before set-up too. */
export type Least = Role | 'anybody';

export const LEAST_ROLE: Readonly<Record<string, Least>> = {
  // The page itself holds nothing of the boat; signing in must be possible before one is in.
  'GET /': 'anybody',
  'GET /*': 'anybody',
  'GET /api/v1/session': 'anybody',
  'POST /api/v1/sign-in': 'anybody',
  'POST /api/v1/sign-out': 'anybody',
  'POST /api/v1/set-up': 'anybody',

  'GET /api/v1/alerts': 'guest',
  'GET /api/v1/alerts/:id': 'guest',
  'GET /api/v1/bands': 'guest',
  'GET /api/v1/boat': 'guest',
  'GET /api/v1/events': 'guest',
  'GET /api/v1/health': 'guest',
  'GET /api/v1/history': 'guest',
  'GET /api/v1/live': 'guest',
  'GET /api/v1/load-plan': 'guest',
  'GET /api/v1/panel': 'guest',
  'GET /api/v1/parts/:id/why-dead': 'guest',
  'GET /api/v1/points': 'guest',
  'GET /api/v1/survey': 'guest',
  'GET /healthz': 'guest',
  'GET /metrics': 'guest',
  'GET /openapi.json': 'guest',
  // For whoever is signed in, whatever the role; see sign-in-routes.ts.
  'POST /api/v1/session/fresh': 'guest',
  'POST /api/v1/own-password': 'guest',

  // All that was ever measured, as a file.
  'GET /api/v1/export': 'crew',
  'GET /api/v1/ways': 'crew',
  'POST /api/v1/push-subscriptions': 'crew',
  'POST /api/v1/push-subscriptions/end': 'crew',
  'POST /api/v1/alerts/:id/acknowledge': 'crew',
  'POST /api/v1/alerts/:id/inspected': 'crew',
  'POST /api/v1/alerts/:id/shelve': 'crew',
  'POST /api/v1/alerts/:id/silence': 'crew',
  'POST /api/v1/alerts/:id/unshelve': 'crew',
  'POST /api/v1/mode': 'crew',
  'POST /api/v1/statements': 'crew',

  // Sends something off the boat.
  'POST /api/v1/ways/:id/test': 'technician',
  'POST /api/v1/alerts/:id/out-of-service': 'technician',
  'POST /api/v1/alerts/:id/in-service': 'technician',
  'GET /api/v1/audit': 'technician',
  'GET /api/v1/persons': 'technician',
  'POST /api/v1/persons': 'technician',
  'POST /api/v1/persons/:number/password': 'technician',
  'POST /api/v1/persons/:number/remove': 'technician',
  'POST /api/v1/persons/:number/role': 'technician',
  'GET /api/v1/sessions': 'technician',
  'POST /api/v1/sessions/:number/end': 'technician',
};

/** What a program with a token may ask for, and nothing else. */
const FOR_PROGRAMS: ReadonlySet<string> = new Set(['GET /healthz', 'GET /metrics']);

export function isForPrograms(method: string, url: string): boolean {
  return FOR_PROGRAMS.has(`${method === 'HEAD' ? 'GET' : method} ${url}`);
}

/** What a technician changes needs a password given a short while ago; looking does not. */
export function needsFreshness(method: string, least: Least): boolean {
  return least === 'technician' && method !== 'GET' && method !== 'HEAD';
}

/** Undefined: the route is not in the table. HEAD is GET without its body. */
export function leastRoleOf(method: string, url: string): Least | undefined {
  return LEAST_ROLE[`${method === 'HEAD' ? 'GET' : method} ${url}`];
}
