/** GET /api/v1/live: hands the connection over to the live stream. */
import { z } from 'zod';
import { errorAnswerSchema } from './contract.ts';
import { SECURITY_HEADERS } from './guards.ts';
import { LIVE_CLIENTS_MAX, type LiveStream } from './live-stream.ts';
import { RequestProblem } from './problem.ts';
import { type ApiAccess, mayStillLook } from './visitors.ts';
import type { ZodFastify } from './zod-routes.ts';

export function addLiveRoute(app: ZodFastify, stream: LiveStream, access: ApiAccess): void {
  app.get(
    '/api/v1/live',
    {
      exposeHeadRoute: false,
      schema: {
        summary: 'The news as server-sent events: `panel`, `alerts`, `alert`, `event`, `health`',
        description:
          'First the present panel, the open alerts and the health; then a panel at most once a ' +
          'second, and alert events, panel events and changes of health as they come. A client ' +
          'that does not read is cut off, and so is one whose session ends.',
        querystring: z.strictObject({}),
        response: {
          200: {
            description: 'A stream of events that ends only with the connection.',
            content: { 'text/event-stream': { schema: { type: 'string' } } },
          },
          '4xx': errorAnswerSchema,
          503: errorAnswerSchema,
        },
      },
    },
    ({ visitor }, reply) => {
      if (stream.isFull) {
        throw new RequestProblem(503, 'Too many pages listen already. Close one of them.', {
          expected: `at most ${LIVE_CLIENTS_MAX}`,
        });
      }
      reply.hijack();
      reply.raw.writeHead(200, {
        ...SECURITY_HEADERS,
        'content-type': 'text/event-stream; charset=utf-8',
        'cache-control': 'no-store',
      });
      stream.add(reply.raw, () => mayStillLook(visitor, access));
    },
  );
}
