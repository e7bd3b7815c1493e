/**
 * Lets through only who may: every route against its least role, before anything of it runs. Also
 * that a change comes from the page's own script, that it stands under the name of whoever is
 * signed in, and that it is in the audit trail.
 */
import cookie from '@fastify/cookie';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { isAtLeast } from '../roles.ts';
import { RequestProblem } from './problem.ts';
import { isForPrograms, leastRoleOf, needsFreshness } from './route-roles.ts';
import { type ApiAccess, type Visitor, visitorOf } from './visitors.ts';

declare module 'fastify' {
  interface FastifyRequest {
    /** Set before any route runs. */
    visitor: Visitor;
  }
  interface FastifyContextConfig {
    /** The route only refuses a method. */
    isRefusal?: true;
  }
}

/** A page elsewhere cannot send a header of its own making without asking us first, and we say no. */
const PAGE_HEADER = 'x-requested-by';
const PAGE_SAYS = 'panelward';

/** Register after the host guards and before the routes. */
export async function addRoleGuard(app: FastifyInstance, access: ApiAccess): Promise<void> {
  await app.register(cookie);
  app.addHook('onRoute', ({ method, url, config }) => {
    if (config?.isRefusal === true) return;
    for (const each of [method].flat()) {
      if (leastRoleOf(each, url) !== undefined) continue;
      throw new Error(`${each} ${url} has no least role; give it one in route-roles.ts`);
    }
  });
  app.addHook('onRequest', async (request, reply) => {
    request.visitor = visitorOf(request, access);
    if (request.visitor.signedIn !== null || !request.visitor.isLocal) {
      // What one person may see is not for the next one at the same browser or proxy.
      if (request.url.startsWith('/api/')) reply.header('cache-control', 'no-store');
    }
    try {
      refuseUnlessAllowed(request);
    } catch (error) {
      noteRefusal(request, access, error);
      if (error instanceof RequestProblem && error.statusCode === 401) {
        reply.header('www-authenticate', 'Session realm="panelward"');
      }
      throw error;
    }
  });
  app.addHook('preValidation', async (request) => underOwnName(request));
  app.addHook('onResponse', async (request, reply) => noteAct(request, reply.statusCode, access));
}

function refuseUnlessAllowed(request: FastifyRequest): void {
  const { visitor, method } = request;
  const { url, config } = request.routeOptions;
  if (request.is404 || url === undefined || config.isRefusal === true) return;
  const least = leastRoleOf(method, url) ?? 'technician';
  if (method !== 'GET' && method !== 'HEAD') refuseOtherScripts(request);
  if (least === 'anybody') return;
  if (visitor.program !== null && isForPrograms(method, url)) return;
  if (visitor.role === null) throw notSignedIn(visitor);
  if (!isAtLeast(visitor.role, least)) {
    throw new RequestProblem(
      403,
      visitor.signedIn === null
        ? `This needs the role ${least}. Sign in first.`
        : `This needs the role ${least}; yours is ${visitor.role}.`,
      { needs: visitor.signedIn === null ? 'sign-in' : 'another role' },
    );
  }
  if (needsFreshness(method, least) && !visitor.isFresh) {
    throw new RequestProblem(403, 'Give your password again first: it was given a while ago.', {
      needs: 'password again',
    });
  }
}

function notSignedIn({ mustSetUp }: Visitor): RequestProblem {
  return mustSetUp
    ? new RequestProblem(401, 'Nobody is registered on this boat yet. Set it up first.', {
        needs: 'set-up',
      })
    : new RequestProblem(401, 'Sign in first.', { needs: 'sign-in' });
}

/** The cookie goes with every request; the header only with those of our own page. */
function refuseOtherScripts({ visitor, headers }: FastifyRequest): void {
  if (visitor.token === null || headers[PAGE_HEADER] === PAGE_SAYS) return;
  throw new RequestProblem(403, 'Only the page that panelward itself serves may change anything.', {
    expected: `the header ${PAGE_HEADER}: ${PAGE_SAYS}`,
  });
}

/** Fills in the name of whoever is signed in where a body wants one, and takes no other. */
function underOwnName({ visitor, body, routeOptions }: FastifyRequest): void {
  const name = visitor.signedIn?.name;
  const wanted = routeOptions.schema?.body;
  if (name === undefined || !(wanted instanceof z.ZodObject) || !('by' in wanted.shape)) return;
  if (typeof body !== 'object' || body === null) return;
  if ('by' in body && body.by !== name) {
    throw new RequestProblem(
      403,
      `You are signed in as ${name}, and what you do stands under that name.`,
      { expected: name },
    );
  }
  Object.assign(body, { by: name });
}

function noteRefusal(
  { visitor, method, routeOptions }: FastifyRequest,
  access: ApiAccess,
  error: unknown,
): void {
  if (access.desk === null || !(error instanceof RequestProblem)) return;
  access.desk.noteRefusal(actorOf(visitor), `${method} ${routeOptions.url ?? ''}`, error.message);
}

/** Acts on the boat. What changes persons and sessions the desk has noted, in its own words. */
function noteAct(request: FastifyRequest, status: number, { desk }: ApiAccess): void {
  const { visitor, method, routeOptions } = request;
  const { url } = routeOptions;
  const isAct =
    method === 'POST' && url !== undefined && /^\/api\/v1\/(alerts|mode|statements)/.test(url);
  // What was refused before is noted already, and a wrong body is no act.
  if (desk === null || !isAct || [400, 401, 403, 415, 421, 429].includes(status)) return;
  const actor = actorOf(visitor);
  const { by, rest } = saidIn(request.body);
  const who = visitor.signedIn?.name ?? (by === '' ? actor.who : `${by} (${actor.who})`);
  const object = [objectIn(request.params), rest].filter((text) => text !== '').join(' ');
  desk.noteAct({ ...actor, who }, url.replace(/^\/api\/v1\//, ''), object, outcomeOf(status));
}

export function actorOf({ signedIn, program, isLocal, role, address }: Visitor): {
  who: string;
  role: string;
  address: string;
} {
  const who = signedIn?.name ?? program ?? (isLocal ? 'local screen' : '');
  return { who, role: role ?? '', address };
}

function objectIn(params: unknown): string {
  const id = typeof params === 'object' && params !== null && 'id' in params ? params.id : '';
  return typeof id === 'string' ? id : '';
}

/** Who it was said by, and the rest of a body as one line; bodies of acts hold no secret. */
function saidIn(body: unknown): { by: string; rest: string } {
  if (typeof body !== 'object' || body === null) return { by: '', rest: '' };
  const { by, ...rest } = Object.fromEntries(Object.entries(body));
  const isEmpty = Object.keys(rest).length === 0;
  return { by: typeof by === 'string' ? by : '', rest: isEmpty ? '' : JSON.stringify(rest) };
}

function outcomeOf(status: number): string {
  return status < 300 ? 'done' : `not done (${status})`;
}
