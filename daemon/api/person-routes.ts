/** What a technician sees and changes of access: persons, sessions, the audit trail. */
import type { FastifyReply } from 'fastify';
import { z } from 'zod';
import type { AccessRefusal } from '../access/desk.ts';
import type { PersonAnswer, SessionAnswer } from './access-schema.ts';
import {
  auditAnswerSchema,
  auditQuerySchema,
  errorAnswerSchema,
  newPersonBodySchema,
  nothingBodySchema,
  numberParamsSchema,
  passwordBodySchema,
  personsAnswerSchema,
  roleBodySchema,
  sessionsAnswerSchema,
} from './contract.ts';
import { actorOf } from './role-guard.ts';
import { deskOf, problemOf } from './sign-in-routes.ts';
import type { ApiAccess, Visitor } from './visitors.ts';
import type { ZodFastify } from './zod-routes.ts';

const NO_QUERY = z.strictObject({});
const PROBLEMS = { '4xx': errorAnswerSchema, 503: errorAnswerSchema };
const PERSONS = { 200: personsAnswerSchema, ...PROBLEMS };
const SESSIONS = { 200: sessionsAnswerSchema, ...PROBLEMS };

export function addPersonRoutes(app: ZodFastify, access: ApiAccess): void {
  app.get(
    '/api/v1/persons',
    {
      schema: {
        summary: 'Who is registered on this boat',
        querystring: NO_QUERY,
        response: PERSONS,
      },
    },
    async () => personsOf(access),
  );
  app.post(
    '/api/v1/persons',
    {
      schema: {
        summary: 'Registers a person, who can sign in at once',
        querystring: NO_QUERY,
        body: newPersonBodySchema,
        response: PERSONS,
      },
    },
    async ({ visitor, body }, reply) => {
      done(await deskOf(access).list.add(actorOf(visitor), body), reply);
      return personsOf(access);
    },
  );
  addOnePersonRoutes(app, access);
  addSessionRoutes(app, access);
  addAuditRoute(app, access);
}

function addOnePersonRoutes(app: ZodFastify, access: ApiAccess): void {
  const of = <Body extends z.ZodType>(body: Body, summary: string) => ({
    schema: { summary, params: numberParamsSchema, querystring: NO_QUERY, body, response: PERSONS },
  });
  app.post(
    '/api/v1/persons/:number/role',
    of(roleBodySchema, 'Gives a person another role, from their next request on'),
    async ({ visitor, params, body: { role } }, reply) => {
      done(deskOf(access).list.setRole(actorOf(visitor), Number(params.number), role), reply);
      return personsOf(access);
    },
  );
  app.post(
    '/api/v1/persons/:number/password',
    of(passwordBodySchema, 'Gives a person another password and ends their sessions'),
    async ({ visitor, params, body: { password } }, reply) => {
      const { list } = deskOf(access);
      done(await list.setPassword(actorOf(visitor), Number(params.number), password), reply);
      return personsOf(access);
    },
  );
  app.post(
    '/api/v1/persons/:number/remove',
    of(nothingBodySchema, 'Removes a person and ends their sessions'),
    async ({ visitor, params }, reply) => {
      done(deskOf(access).list.remove(actorOf(visitor), Number(params.number)), reply);
      return personsOf(access);
    },
  );
}

function addSessionRoutes(app: ZodFastify, access: ApiAccess): void {
  app.get(
    '/api/v1/sessions',
    {
      schema: {
        summary: 'Who is signed in, and from where',
        querystring: NO_QUERY,
        response: SESSIONS,
      },
    },
    async ({ visitor }) => sessionsOf(access, visitor),
  );
  app.post(
    '/api/v1/sessions/:number/end',
    {
      schema: {
        summary: 'Ends a session; its live stream ends within a few seconds',
        params: numberParamsSchema,
        querystring: NO_QUERY,
        body: nothingBodySchema,
        response: SESSIONS,
      },
    },
    async ({ visitor, params }, reply) => {
      done(deskOf(access).list.endSession(actorOf(visitor), Number(params.number)), reply);
      return sessionsOf(access, visitor);
    },
  );
}

function addAuditRoute(app: ZodFastify, access: ApiAccess): void {
  app.get(
    '/api/v1/audit',
    {
      schema: {
        summary: 'Who did what, newest first',
        querystring: auditQuerySchema,
        response: { 200: auditAnswerSchema, ...PROBLEMS },
      },
    },
    async ({ query: { limit, before } }) => ({ entries: deskOf(access).audit.list(limit, before) }),
  );
}

function done(refusal: AccessRefusal | null, reply: FastifyReply): void {
  if (refusal !== null) throw problemOf(refusal, reply);
}

function personsOf(access: ApiAccess): { persons: PersonAnswer[] } {
  return { persons: deskOf(access).persons.list() };
}

function sessionsOf(access: ApiAccess, visitor: Visitor): { sessions: SessionAnswer[] } {
  const desk = deskOf(access);
  const sessions = desk.sessions.list(desk.nowMs());
  return {
    sessions: sessions.map(({ session, name, role, address, madeAtMs, seenAtMs }) => ({
      number: session,
      name,
      role,
      address,
      madeAtMs,
      seenAtMs,
      isOwn: session === visitor.signedIn?.session,
    })),
  };
}
