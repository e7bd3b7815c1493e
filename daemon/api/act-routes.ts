/**
 * What a person does about an open alert: acknowledge, silence, shelve, take out of service, say
 * that it was looked at. Each answers with the alert once that is on the disk, with who and when.
 */
import { z } from 'zod';
import {
  acknowledgeAnswerSchema,
  acknowledgeBodySchema,
  alertParamsSchema,
  errorAnswerSchema,
  outOfServiceBodySchema,
  personBodySchema,
  shelveBodySchema,
} from './contract.ts';
import type { AcknowledgeAnswer } from './contract.ts';
import type { Acknowledgement, ApiParts, Refusal } from './parts.ts';
import { RequestProblem, unknownAlert } from './problem.ts';
import type { ZodFastify } from './zod-routes.ts';

const path = (act: string): string => `/api/v1/alerts/:id/${act}`;

/** What a route of an act takes and answers. */
const schemaOf = <Body extends z.ZodType>(body: Body, summary: string, description: string) => ({
  schema: {
    summary: `${summary}; answers once that is on the disk`,
    description,
    params: alertParamsSchema,
    querystring: z.strictObject({}),
    body,
    response: { 200: acknowledgeAnswerSchema, '4xx': errorAnswerSchema, 503: errorAnswerSchema },
  },
});

export function addActRoutes(app: ZodFastify, parts: ApiParts): void {
  app.post(
    path('acknowledge'),
    schemaOf(
      acknowledgeBodySchema,
      'Acknowledges an open alert',
      'Ends its sound and its escalation everywhere. What stands for a day more has to be acknowledged anew.',
    ),
    async ({ params: { id }, body: { by } }) => answerTo(id, parts.acknowledge(id, by)),
  );
  app.post(
    path('inspected'),
    schemaOf(
      personBodySchema,
      'Says that somebody has looked at what an alert was about, and closes it',
      'For an alert that is over and has `needsInspection`.',
    ),
    async ({ params: { id }, body: { by } }) =>
      answerTo(id, parts.act(id, { type: 'inspect' }, by)),
  );
  addQuietingRoutes(app, parts);
  addServiceRoutes(app, parts);
}

function addQuietingRoutes(app: ZodFastify, parts: ApiParts): void {
  app.post(
    path('silence'),
    schemaOf(
      personBodySchema,
      'Stops the sound of an alert for a moment',
      'It is not acknowledged by that: it sounds again by itself after 30 s, a warning after 5 min.',
    ),
    async ({ params: { id }, body: { by } }) =>
      answerTo(id, parts.act(id, { type: 'silence' }, by)),
  );
  app.post(
    path('shelve'),
    schemaOf(
      shelveBodySchema,
      'Puts an alert away for a time',
      'At most 8 hours; 4 for an emergency alarm and for what needs an inspection. It is judged and ' +
        'recorded meanwhile, comes back by itself, and at once if it gets worse.',
    ),
    async ({ params: { id }, body: { untilMs, reason, by } }) =>
      answerTo(
        id,
        parts.act(id, { type: 'shelve', untilMs, ...(reason !== undefined && { reason }) }, by),
      ),
  );
  app.post(
    path('unshelve'),
    schemaOf(
      personBodySchema,
      'Takes an alert from the shelf before its time',
      'What still stands is to be acknowledged, even if it was before it was shelved.',
    ),
    async ({ params: { id }, body: { by } }) =>
      answerTo(id, parts.act(id, { type: 'unshelve' }, by)),
  );
}

function addServiceRoutes(app: ZodFastify, parts: ApiParts): void {
  app.post(
    path('out-of-service'),
    schemaOf(
      outOfServiceBodySchema,
      'Takes an alert out of service for maintenance',
      'It tells nobody until it is put back, or gets worse; a review is due when it says, and daily ' +
        'from then on. Never an emergency alarm.',
    ),
    async ({ params: { id }, body: { reason, reviewAtMs, by } }) =>
      answerTo(id, parts.act(id, { type: 'take out of service', reason, reviewAtMs }, by)),
  );
  app.post(
    path('in-service'),
    schemaOf(
      personBodySchema,
      'Puts an alert back in service',
      'What still stands is to be acknowledged, even if it was before.',
    ),
    async ({ params: { id }, body: { by } }) =>
      answerTo(id, parts.act(id, { type: 'put back in service' }, by)),
  );
}

function answerTo(id: string, done: Acknowledgement): AcknowledgeAnswer {
  if ('alert' in done) return { alert: done.alert };
  throw problemOf(id, done);
}

function problemOf(id: string, { problem, why }: Refusal): RequestProblem {
  switch (why) {
    case 'unknown':
      return unknownAlert(id);
    case 'refused':
      return new RequestProblem(409, problem);
    case 'not stored':
      return new RequestProblem(503, problem);
  }
}
