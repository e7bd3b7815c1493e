/** Signing in and out, the first person of a boat, the password once more, another password. */
import type { FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import type { AccessDesk, AccessRefusal, Let } from '../access/desk.ts';
import type { VisitorAnswer } from './access-schema.ts';
import {
  errorAnswerSchema,
  nothingBodySchema,
  ownPasswordBodySchema,
  passwordBodySchema,
  setUpBodySchema,
  signInBodySchema,
  visitorAnswerSchema,
} from './contract.ts';
import { RequestProblem } from './problem.ts';
import { type ApiAccess, cookieNameFor, type Visitor, visitorOf } from './visitors.ts';
import type { ZodFastify } from './zod-routes.ts';

const NO_QUERY = z.strictObject({});
const RESPONSES = { 200: visitorAnswerSchema, '4xx': errorAnswerSchema, 503: errorAnswerSchema };
/** As long as a session can live; the daemon ends it sooner where it is not used. */
const COOKIE_SECONDS = 30 * 24 * 3600;

const schemaOf = <Body extends z.ZodType>(body: Body, summary: string, description: string) => ({
  schema: { summary, description, querystring: NO_QUERY, body, response: RESPONSES },
});

export function addSignInRoutes(app: ZodFastify, access: ApiAccess): void {
  app.get(
    '/api/v1/session',
    {
      schema: {
        summary: 'Who is signed in here, and what this browser may do',
        querystring: NO_QUERY,
        response: RESPONSES,
      },
    },
    async ({ visitor }) => answerFor(visitor, access),
  );
  app.post(
    '/api/v1/sign-in',
    schemaOf(
      signInBodySchema,
      'Signs a person in',
      'The session is in a cookie. A wrong name and a wrong password get the same answer.',
    ),
    async (request, reply) => {
      const { name, password } = request.body;
      const { address, signedIn } = request.visitor;
      const given = await deskOf(access).signIn(name, password, address);
      // A new session in place of the old one, never beside it in one browser.
      if ('token' in given && signedIn !== null) deskOf(access).signOut(signedIn, address);
      return letIn(request, reply, access, given);
    },
  );
  app.post(
    '/api/v1/set-up',
    schemaOf(
      setUpBodySchema,
      'The first technician of a boat, by the one-time code',
      'Only while nobody is registered. The code is on the console of the boat’s own computer.',
    ),
    async (request, reply) => {
      const { code, name, password } = request.body;
      const { address } = request.visitor;
      return letIn(
        request,
        reply,
        access,
        await deskOf(access).setUp(code, name, password, address),
      );
    },
  );
  addOwnRoutes(app, access);
}

function addOwnRoutes(app: ZodFastify, access: ApiAccess): void {
  app.post(
    '/api/v1/session/fresh',
    schemaOf(
      passwordBodySchema,
      'The password once more, before changes',
      'Good for 30 minutes. The session gets a new cookie.',
    ),
    async (request, reply) => {
      const { signedIn, address } = request.visitor;
      if (signedIn === null) throw nobody();
      const { password } = request.body;
      return letIn(
        request,
        reply,
        access,
        await deskOf(access).proveAgain(signedIn, password, address),
      );
    },
  );
  app.post(
    '/api/v1/own-password',
    schemaOf(
      ownPasswordBodySchema,
      'Another password for whoever is signed in',
      'All other sessions of this person end.',
    ),
    async (request, reply) => {
      const { signedIn, address } = request.visitor;
      if (signedIn === null) throw nobody();
      const desk = deskOf(access);
      return letIn(
        request,
        reply,
        access,
        await desk.changeOwnPassword(signedIn, request.body, address),
      );
    },
  );
  app.post(
    '/api/v1/sign-out',
    schemaOf(nothingBodySchema, 'Ends the session of this browser', 'It ends in the daemon too.'),
    async (request, reply) => {
      const { signedIn, address, isSecure } = request.visitor;
      if (signedIn !== null) deskOf(access).signOut(signedIn, address);
      reply.clearCookie(cookieNameFor(isSecure), cookieFor(isSecure));
      return answerFor(visitorOf(withoutCookies(request), access), access);
    },
  );
}

function answerFor(visitor: Visitor, { desk }: ApiAccess): VisitorAnswer {
  const { role, signedIn, isLocal, isFresh, mustSetUp } = visitor;
  return {
    role,
    person: signedIn?.name ?? null,
    isLocal,
    isFresh,
    mustSetUp,
    canSignIn: desk !== null && !mustSetUp,
  };
}

/** Sets the cookie and answers as the new session sees it, or says why not. */
function letIn(
  request: FastifyRequest,
  reply: FastifyReply,
  access: ApiAccess,
  given: Let,
): VisitorAnswer {
  if ('problem' in given) throw problemOf(given, reply);
  const { isSecure } = request.visitor;
  const name = cookieNameFor(isSecure);
  reply.setCookie(name, given.token, { ...cookieFor(isSecure), maxAge: COOKIE_SECONDS });
  request.cookies = { ...request.cookies, [name]: given.token };
  return answerFor(visitorOf(request, access), access);
}

function withoutCookies(request: FastifyRequest): FastifyRequest {
  request.cookies = {};
  return request;
}

const cookieFor = (isSecure: boolean) =>
  ({ httpOnly: true, secure: isSecure, sameSite: 'strict', path: '/' }) as const;

export function deskOf({ desk }: ApiAccess): AccessDesk {
  if (desk !== null) return desk;
  throw new RequestProblem(503, 'Nobody can sign in now; the health page of the boat says why.');
}

const STATUS = {
  refused: 401,
  'not allowed': 409,
  unknown: 404,
  'too many': 429,
  busy: 503,
} as const;

/** With `Retry-After` where waiting helps. */
export function problemOf(
  { problem, why, retryAfterMs }: AccessRefusal,
  reply: FastifyReply,
): RequestProblem {
  if (retryAfterMs !== undefined) {
    reply.header('retry-after', String(Math.ceil(retryAfterMs / 1000)));
  }
  if (why === 'refused') reply.header('www-authenticate', 'Session realm="panelward"');
  return new RequestProblem(STATUS[why], problem);
}

function nobody(): RequestProblem {
  return new RequestProblem(401, 'Sign in first.', { needs: 'sign-in' });
}
