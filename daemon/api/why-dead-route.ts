/** "Why is this dead?": the first broken link in the supply of a bus or a circuit. */
import { z } from 'zod';
import { errorAnswerSchema, whyDeadSchema } from './contract.ts';
import type { ApiParts } from './parts.ts';
import { RequestProblem } from './problem.ts';
import type { ZodFastify } from './zod-routes.ts';

const paramsSchema = z.strictObject({ id: z.string().min(1).max(60) });

export function addWhyDeadRoute(app: ZodFastify, parts: ApiParts): void {
  app.get(
    '/api/v1/parts/:id/why-dead',
    {
      schema: {
        summary: 'Why a bus or a circuit reads no voltage: the first broken link from its source',
        description: 'It speaks of readings: nothing it says proves that a conductor is dead.',
        params: paramsSchema,
        querystring: z.strictObject({}),
        response: { 200: whyDeadSchema, '4xx': errorAnswerSchema, 503: errorAnswerSchema },
      },
    },
    async ({ params: { id } }) => {
      const panel = parts.panel();
      if (panel === null) throw new RequestProblem(503, 'The panel has not been worked out yet.');
      const answer = parts.whyDead(id);
      if (answer !== null) return answer;
      throw new RequestProblem(404, 'There is no bus or circuit of this id.', { found: id });
    },
  );
}
