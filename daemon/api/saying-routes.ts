/** What a person tells panelward: what the boat is about, and where a switch stands. */
import {
  errorAnswerSchema,
  modeBodySchema,
  saidAnswerSchema,
  statementBodySchema,
} from './contract.ts';
import type { SaidAnswer } from './contract.ts';
import { z } from 'zod';
import type { ApiParts, Said } from './parts.ts';
import { RequestProblem } from './problem.ts';
import type { ZodFastify } from './zod-routes.ts';

const NO_QUERY = z.strictObject({});
const RESPONSES = { 200: saidAnswerSchema, '4xx': errorAnswerSchema, 503: errorAnswerSchema };

/** Both answer only after what was said is on the disk. */
export function addSayingRoutes(app: ZodFastify, parts: ApiParts): void {
  app.post(
    '/api/v1/mode',
    {
      schema: {
        summary: 'Says what the boat is about; answers once that is on the disk',
        querystring: NO_QUERY,
        body: modeBodySchema,
        response: RESPONSES,
      },
    },
    async ({ body: { mode, untilMs, by } }) => answerTo(parts.setMode(mode, untilMs ?? null, by)),
  );
  app.post(
    '/api/v1/statements',
    {
      schema: {
        summary: 'Says where a selector or main switch stands; answers once that is on the disk',
        description:
          'It counts until a reading contradicts it. It switches nothing: panelward only informs.',
        querystring: NO_QUERY,
        body: statementBodySchema,
        response: RESPONSES,
      },
    },
    async ({ body: { part, position, by } }) => answerTo(parts.state(part, position, by)),
  );
}

const STATUS = { unknown: 404, refused: 409, 'not stored': 503 } as const;

function answerTo(said: Said): SaidAnswer {
  if ('problem' in said) throw new RequestProblem(STATUS[said.why], said.problem);
  return { events: [...said.events] };
}
