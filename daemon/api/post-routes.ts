/** Ways out of the boat: how they fare, a test of one, and browsers that want to be told. */
import { z } from 'zod';
import { errorAnswerSchema } from './contract.ts';
import type { PostParts } from './parts.ts';
import {
  pushAnswerSchema,
  pushBodySchema,
  pushEndBodySchema,
  wayParamsSchema,
  waysAnswerSchema,
  wayTestAnswerSchema,
} from './post-schema.ts';
import { RequestProblem } from './problem.ts';
import type { ZodFastify } from './zod-routes.ts';

const NO_QUERY = z.strictObject({});
const PROBLEMS = { '4xx': errorAnswerSchema, 503: errorAnswerSchema } as const;

export function addPostRoutes(app: ZodFastify, post: PostParts): void {
  app.get(
    '/api/v1/ways',
    {
      schema: {
        summary: 'How messages leave the boat, and when each way last worked',
        querystring: NO_QUERY,
        response: { 200: waysAnswerSchema, ...PROBLEMS },
      },
    },
    async () => post.ways(),
  );
  app.post(
    '/api/v1/ways/:id/test',
    {
      schema: {
        summary: 'Sends a message marked as a test by one way, and answers what came of it',
        description: 'Waits for the other end, at most 20 s for each who is told by this way.',
        params: wayParamsSchema,
        querystring: NO_QUERY,
        body: z.strictObject({}),
        response: { 200: wayTestAnswerSchema, ...PROBLEMS },
      },
    },
    async ({ params: { id } }) => {
      const answer = await post.test(id);
      if (answer !== null) return answer;
      throw new RequestProblem(404, 'No way out has this id.', { found: id });
    },
  );
  addPushRoutes(app, post);
}

function addPushRoutes(app: ZodFastify, post: PostParts): void {
  const schema = {
    querystring: NO_QUERY,
    response: { 200: pushAnswerSchema, ...PROBLEMS },
  };
  app.post(
    '/api/v1/push-subscriptions',
    {
      schema: {
        summary: 'Tells one contact in this browser from now on; again: puts it right',
        body: pushBodySchema,
        ...schema,
      },
    },
    async ({ body }) => {
      refuseUnlessDone(post.subscribe(body));
      return { isSubscribed: true };
    },
  );
  app.post(
    '/api/v1/push-subscriptions/end',
    { schema: { summary: 'Tells this browser nothing more', body: pushEndBodySchema, ...schema } },
    async ({ body: { endpoint } }) => {
      refuseUnlessDone(post.unsubscribe(endpoint));
      return { isSubscribed: false };
    },
  );
}

function refuseUnlessDone(refusal: ReturnType<PostParts['subscribe']>): void {
  if (refusal === null) return;
  throw new RequestProblem(refusal.why === 'refused' ? 409 : 503, refusal.problem);
}
