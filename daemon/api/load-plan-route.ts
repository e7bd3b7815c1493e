/** What can still be switched on: the load plan of this instant. */
import { z } from 'zod';
import { errorAnswerSchema, loadPlanSchema } from './contract.ts';
import type { ApiParts } from './parts.ts';
import { RequestProblem } from './problem.ts';
import type { ZodFastify } from './zod-routes.ts';

export function addLoadPlanRoute(app: ZodFastify, parts: ApiParts): void {
  app.get(
    '/api/v1/load-plan',
    {
      schema: {
        summary: 'What can still be switched on, and what would have to be off for it',
        description:
          'On the safe side: room is kept for what may come on by itself, and nothing fits that hangs on something unknown. It is no promise that a breaker holds.',
        querystring: z.strictObject({}),
        response: { 200: loadPlanSchema, '4xx': errorAnswerSchema, 503: errorAnswerSchema },
      },
    },
    async () => {
      const plan = parts.loadPlan();
      if (plan !== null) return plan;
      throw new RequestProblem(503, 'The panel has not been worked out yet.');
    },
  );
}
